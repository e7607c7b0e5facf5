/* SPDX-License-Identifier: MIT */
/* Reads reports from standard input while something else goes on. */
#include "app/live_feed.h"

#include <errno.h>
#include <poll.h>
#include <unistd.h>

enum { TOLD_MAX = 3 };

enum wp_status app_live_feed_init(struct app_live_feed *feed,
                                  const struct wp_weather_config *config)
{
    *feed = (struct app_live_feed){.feed = NULL};
    return wp_feed_create(&feed->feed, config);
}

void app_live_feed_finish(struct app_live_feed *feed)
{
    wp_feed_destroy(feed->feed);
    feed->feed = NULL;
}

/* A line that cannot be read is no error of the session: it becomes a warning. */
static void tell_refused(struct app_live_feed *feed, struct wp_diags *found, struct wp_diags *diags)
{
    if (feed->n_told == TOLD_MAX || found->n_items == 0) {
        return;
    }
    feed->n_told++;
    const char *hint =
        feed->n_told == TOLD_MAX ? "further ones are only counted" : found->items[0].hint;
    wp_diags_add(diags, WP_OK, "standard input", found->items[0].mark, hint, "%s",
                 found->items[0].message);
}

static enum wp_status read_lines(struct app_live_feed *feed, double now_s, struct wp_record *record,
                                 bool *has_record, struct wp_diags *diags)
{
    for (;;) {
        struct wp_diags found;
        wp_diags_init(&found);
        switch (wp_feed_next(feed->feed, now_s, record, &found)) {
        case WP_FEED_MORE:
            return WP_OK;
        case WP_FEED_RECORD:
            *has_record = true;
            break;
        case WP_FEED_REFUSED:
            tell_refused(feed, &found, diags);
            break;
        case WP_FEED_BROKEN:
            *diags = found;
            return wp_diags_status(&found) ? wp_diags_status(&found) : WP_E_SYNTAX;
        case WP_FEED_NOTHING:
        case WP_FEED_REPEATED:
        case WP_FEED_LATE:
            break;
        }
    }
}

enum wp_status app_live_feed_read(struct app_live_feed *feed, int wait_ms, double now_s,
                                  struct wp_record *record, bool *has_record,
                                  struct wp_diags *diags)
{
    char bytes[4096];
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    *has_record = false;
    if (feed->is_ended || !feed->feed) {
        poll(NULL, 0, wait_ms);
        return WP_OK;
    }
    if (poll(&input, 1, wait_ms) <= 0) {
        return WP_OK;
    }
    const ssize_t n_read = read(STDIN_FILENO, bytes, sizeof bytes);
    if (n_read > 0) {
        wp_feed_add(feed->feed, bytes, (size_t)n_read);
    } else if (n_read == 0 || (errno != EINTR && errno != EAGAIN)) {
        feed->is_ended = true;
        wp_feed_end(feed->feed);
    }
    return read_lines(feed, now_s, record, has_record, diags);
}
