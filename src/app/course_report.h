/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_COURSE_REPORT_H
#define WINDPEAL_APP_COURSE_REPORT_H

#include <jansson.h>
#include <stdio.h>

#include "windpeal/course.h"

/* The course of a striking in words, two small charts, and JSON. */

/* Prints at most 80 columns a line; nothing when there were no strikes. */
void app_course_print(FILE *out, const struct wp_course *course);

/* Adds the figures to the object of the variety and returns it; NULL when out of memory. */
json_t *app_course_describe(json_t *object, const struct wp_course *course);

#endif
