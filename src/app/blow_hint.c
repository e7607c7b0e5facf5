/* SPDX-License-Identifier: MIT */
/* How a gentle hit meets a tube. */
#include "app/blow_hint.h"

#include <stdio.h>

#include "windpeal/contact.h"

void app_blow_solve(const struct app_set *loaded, size_t tube, struct wp_contact *contact)
{
    wp_contact_solve(contact, &loaded->striker, &loaded->chime->tubes[tube],
                     loaded->layout.strike_height_m[tube], APP_TOLD_SPEED_M_S);
}

bool app_blow_is_soft(const struct app_set *loaded, size_t tube, char *text, size_t text_size)
{
    const struct wp_tube *struck = &loaded->chime->tubes[tube];
    const struct wp_partial *pitch = &struck->partials[struck->is_heard_from_fourth ? 3 : 0];
    struct wp_contact contact;
    app_blow_solve(loaded, tube, &contact);
    const double cutoff_hz = wp_contact_cutoff_hz(&contact);
    if (cutoff_hz >= pitch->freq_hz) {
        return false;
    }
    snprintf(text, text_size,
             "the striker is too soft for this tube: at %.1f m/s it stays on it for %.1f ms and "
             "hardly moves anything above %.0f Hz, partial %d (%.0f Hz), which gives the pitch, "
             "included; a harder or "
             "lighter striker lets it sound",
             APP_TOLD_SPEED_M_S, 1000.0 * contact.duration_s, cutoff_hz, pitch->n, pitch->freq_hz);
    return true;
}
