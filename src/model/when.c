/* When a photograph was taken and which stage that makes it. Times are ISO 8601 text, as the camera
 * counted them, with the zone where one is known. */
#include "model-private.h"

#include <string.h>

static const PwCamera *
camera_of(const PwPhotoFacts *facts, const PwVolume *volume)
{
  g_autofree char *name = pw_photo_facts_dup_camera(facts);
  for (gsize i = 0; volume && name && i < volume->n_cameras; i++)
    if (strcmp(volume->cameras[i].name, name) == 0)
      return &volume->cameras[i];
  return NULL;
}

char *
pw_taken_of_facts(const PwPhotoFacts *facts, const PwVolume *volume)
{
  if (facts->taken == NULL)
    return NULL;
  const PwCamera *camera = camera_of(facts, volume);
  const char *zone = facts->zone ? facts->zone : camera ? camera->clock_offset : NULL;
  return g_strconcat(facts->taken, zone, NULL);
}

gboolean
pw_date_of_time(const char *taken, GDate *date)
{
  if (taken == NULL || strlen(taken) < 10)
    return FALSE;
  g_autofree char *day = g_strndup(taken, 10);
  return pw_parse_date(day, date);
}

static PwStage
stage_from_folder(const char *file)
{
  static const struct {
    const char *name;
    PwStage stage;
  } names[] = {{"before", PW_STAGE_BEFORE}, {"during", PW_STAGE_DURING}, {"after", PW_STAGE_AFTER}};
  g_auto(GStrv) parts = g_strsplit(file, "/", -1);
  for (guint i = g_strv_length(parts) - 1; i-- > 0;)
    for (gsize j = 0; j < G_N_ELEMENTS(names); j++)
      if (g_ascii_strcasecmp(parts[i], names[j].name) == 0)
        return names[j].stage;
  return PW_STAGE_NONE;
}

PwStage
pw_stage_from_place(const char *file, const char *taken, const PwVolume *volume)
{
  PwStage stage = stage_from_folder(file);
  GDate day;
  if (stage != PW_STAGE_NONE || volume == NULL || !g_date_valid(&volume->treated_from) ||
      !pw_date_of_time(taken, &day))
    return stage;
  if (g_date_compare(&day, &volume->treated_from) < 0)
    return PW_STAGE_BEFORE;
  if (g_date_valid(&volume->treated_to) && g_date_compare(&day, &volume->treated_to) > 0)
    return PW_STAGE_AFTER;
  return PW_STAGE_DURING;
}
