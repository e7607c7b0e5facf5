/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_INTERRUPT_H
#define WINDPEAL_APP_INTERRUPT_H

/*
 * SIGINT, SIGTERM and SIGHUP while something long is being written: they are held back and asked
 * for between two blocks, so there is no handler and no global state. Those that the caller has set
 * to be ignored, as nohup does, stay ignored.
 */

/* From here on these signals wait until they are asked for. */
void app_interrupt_watch(void);

/* The signal that has arrived since, or 0. Never blocks. */
int app_interrupt_caught(void);

#endif
