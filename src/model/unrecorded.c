/* What the record owes a document and does not say: there "not recorded" stands. */
#include "model-private.h"

#include <math.h>

static gboolean
has_stage(const PwModel *model, PwStage stage)
{
  for (guint i = 0; i < model->photos->len; i++)
    if (((const PwModelPhoto *)model->photos->pdata[i])->stage == stage)
      return TRUE;
  return FALSE;
}

static gboolean
has_answer(const PwModel *model, const char *to)
{
  const PwStanding standing = pw_model_consent_to(model, to).standing;
  return standing != PW_STANDING_NEVER_ASKED && standing != PW_STANDING_ASKED;
}

static gboolean
has_size(const PwVolume *volume)
{
  return !isnan(volume->size_mm[0]) && !isnan(volume->size_mm[1]) && !isnan(volume->size_mm[2]);
}

enum {
  ALWAYS = PW_DUE_RECEIVED | PW_DUE_EXAMINED | PW_DUE_PROPOSED | PW_DUE_TREATED,
  FROM_EXAMINED = ALWAYS & ~PW_DUE_RECEIVED
};

typedef struct {
  const char *key;
  guint due;
  gboolean said;
} Owes;

const char **
pw_model_dup_unrecorded(const PwModel *model, guint due)
{
  static const PwVolume none = {.size_mm = {NAN, NAN, NAN}, .mass_kg = NAN};
  const PwVolume *volume = model->volume ? model->volume : &none;
  const Owes owes[] = {
      {"volume/title", ALWAYS, volume->title != NULL},
      {"volume/maker", FROM_EXAMINED, volume->maker != NULL},
      {"volume/date", FROM_EXAMINED, volume->date != NULL},
      {"volume/binding", ALWAYS, volume->binding != NULL},
      {"volume/size", ALWAYS, has_size(volume)},
      {"volume/mass", FROM_EXAMINED, !isnan(volume->mass_kg)},
      {"volume/collation", FROM_EXAMINED, volume->collation != NULL},
      {"volume/description", FROM_EXAMINED, volume->description != NULL},
      {"owner/name", ALWAYS, volume->owner_name != NULL},
      {"owner/contact", ALWAYS, volume->owner_contact != NULL},
      {"studio/name", ALWAYS, volume->studio_name != NULL},
      {"studio/by", ALWAYS, volume->studio_by != NULL},
      {"studio/contact", ALWAYS, volume->studio_contact != NULL},
      {"received", ALWAYS, g_date_valid(&volume->received)},
      {"examined", FROM_EXAMINED, g_date_valid(&volume->examined)},
      {"purpose", FROM_EXAMINED, volume->purpose != NULL},
      {"photographs/before", ALWAYS, has_stage(model, PW_STAGE_BEFORE)},
      {"proposal", PW_DUE_PROPOSED, volume->n_proposal > 0},
      {"estimate", PW_DUE_PROPOSED, model->estimate != NULL},
      {"consents/treatment", PW_DUE_TREATED, has_answer(model, PW_CONSENT_TO_TREATMENT)},
      {"treated", PW_DUE_TREATED, g_date_valid(&volume->treated_from)},
      {"treatment", PW_DUE_TREATED, volume->n_treatment > 0},
      {"photographs/after", PW_DUE_TREATED, has_stage(model, PW_STAGE_AFTER)},
      {"returned", PW_DUE_TREATED, g_date_valid(&volume->returned)},
      {"care", PW_DUE_TREATED, volume->care != NULL && volume->care[0] != NULL},
  };
  GPtrArray *keys = g_ptr_array_new();
  for (gsize i = 0; i < G_N_ELEMENTS(owes); i++)
    if ((owes[i].due & due) != 0 && !owes[i].said)
      g_ptr_array_add(keys, (gpointer)(gsize)owes[i].key);
  g_ptr_array_add(keys, NULL);
  return (const char **)g_ptr_array_free(keys, FALSE);
}
