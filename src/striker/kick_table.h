/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_KICK_TABLE_H
#define WINDPEAL_STRIKER_KICK_TABLE_H

#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/* The tables of a schedule; see wp_kick_table. */

/* 0 below calm: no kick. */
uint32_t wp_kick_table_duty_4096(const struct wp_kick_table *table, uint32_t now_mm_s) WP_REALTIME;

uint32_t wp_kick_table_delay_ms(const struct wp_kick_table *table, uint32_t mean_mm_s) WP_REALTIME;

#endif
