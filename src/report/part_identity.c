/* Which volume it is, whose, and in whose hands. Names are not for the public. */
#include "parts.h"

#include <math.h>

/* A size or weight of the record, which says nothing of how sure it is. */
static char *
dup_unsure(const PwWriter *w, const char *key, const char *figures)
{
  g_autofree char *numbers = pw_words_dup_number(w->words, figures);
  return pw_words_dup_phrase(w->words, key, "figures", numbers, NULL);
}

static char *
dup_volume_size(const PwWriter *w)
{
  const double *mm = w->volume->size_mm;
  if (isnan(mm[0]))
    return NULL;
  g_autofree char *height = pw_format_double(mm[0]), *width = pw_format_double(mm[1]);
  g_autofree char *thickness = pw_format_double(mm[2]);
  g_autofree char *all = g_strdup_printf("%s \u00d7 %s \u00d7 %s", height, width, thickness);
  return dup_unsure(w, "identity-size-as-recorded", all);
}

static char *
dup_mass(const PwWriter *w)
{
  if (isnan(w->volume->mass_kg))
    return NULL;
  g_autofree char *kg = pw_format_double(w->volume->mass_kg);
  return dup_unsure(w, "identity-mass-as-recorded", kg);
}

static char *
dup_joined(const char *first, const char *second)
{
  if (first == NULL || second == NULL)
    return g_strdup(first != NULL ? first : second);
  return g_strdup_printf("%s \u00b7 %s", first, second);
}

static void
tell_names(PwWriter *w, PwBlock *facts)
{
  const PwVolume *volume = w->volume;
  g_autofree char *owner = dup_joined(volume->owner_name, volume->owner_contact);
  g_autofree char *hand = dup_joined(volume->studio_name, volume->studio_by);
  g_autofree char *studio = dup_joined(hand, volume->studio_contact);
  pw_writer_fact(w, facts, "identity-owner", "owner/name", owner);
  pw_writer_fact(w, facts, "identity-studio", "studio/name", studio);
}

void
pw_part_identity(PwWriter *w)
{
  const PwVolume *volume = w->volume;
  g_autofree char *size = dup_volume_size(w), *mass = dup_mass(w);
  pw_writer_heading(w, 1, "identity");
  PwBlock *facts = pw_doc_facts(w->doc);
  pw_writer_fact(w, facts, "identity-id", "volume/id", pw_model_peek_id(w->model));
  /* A summary has its title over it and little room. */
  if (w->kind != PW_REPORT_SUMMARY || volume->title == NULL)
    pw_writer_fact(w, facts, "identity-title", "volume/title", volume->title);
  if (!pw_writer_is_public(w))
    pw_writer_fact(w, facts, "identity-maker", "volume/maker", volume->maker);
  pw_writer_fact(w, facts, "identity-date", "volume/date", volume->date);
  if (w->kind != PW_REPORT_SUMMARY) {
    pw_writer_fact(w, facts, "identity-binding", "volume/binding", volume->binding);
    pw_writer_fact(w, facts, "identity-size", "volume/size", size);
    pw_writer_fact(w, facts, "identity-mass", "volume/mass", mass);
    pw_writer_fact(w, facts, "identity-collation", "volume/collation", volume->collation);
    pw_writer_fact(w, facts, "identity-numbering", "volume/numbering", volume->numbering);
    pw_writer_fact(w, facts, "identity-description", "volume/description", volume->description);
  }
  if (!pw_writer_is_public(w) && w->kind != PW_REPORT_SUMMARY)
    tell_names(w, facts);
}
