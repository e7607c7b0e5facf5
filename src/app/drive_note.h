/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_DRIVE_NOTE_H
#define WINDPEAL_APP_DRIVE_NOTE_H

#include "windpeal/set.h"

/* Notes what keeps a set's drive from throwing its striker, if anything does. */
void app_drive_note(const struct wp_set *set);

#endif
