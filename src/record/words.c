/* Words of the record that stand for something: stages, bases, lights, views; and references.
 */
#include "words.h"

#include <string.h>

const PwWord pw_words_stage[] = {
    {"before", PW_STAGE_BEFORE}, {"during", PW_STAGE_DURING}, {"after", PW_STAGE_AFTER}, {NULL, 0}};

const PwWord pw_words_basis[] = {{"observed", PW_BASIS_OBSERVED},
                                 {"tested", PW_BASIS_TESTED},
                                 {"inferred", PW_BASIS_INFERRED},
                                 {"reported", PW_BASIS_REPORTED},
                                 {NULL, 0}};

const char *const pw_words_light[] = {"normal",
                                      "raking from left",
                                      "raking from right",
                                      "raking from top",
                                      "raking from bottom",
                                      "raking from top left",
                                      "raking from top right",
                                      "raking from bottom left",
                                      "raking from bottom right",
                                      "raking from head",
                                      "raking from tail",
                                      "raking from spine",
                                      "raking from fore edge",
                                      "transmitted",
                                      "specular",
                                      "ultraviolet fluorescence",
                                      "reflected ultraviolet",
                                      NULL};

const char *const pw_words_view[] = {"front board",
                                     "back board",
                                     "upper board",
                                     "lower board",
                                     "spine",
                                     "head",
                                     "tail",
                                     "fore edge",
                                     "opening",
                                     "title page",
                                     "frontispiece",
                                     "detail",
                                     "endleaf",
                                     "front joint",
                                     "inside front board",
                                     "inside back board",
                                     "pastedown",
                                     "leaf",
                                     "box",
                                     "pieces",
                                     NULL};

const char *const pw_words_face[] = {"front board", "back board", "upper board", "lower board",
                                     "spine",       "head",       "tail",        "fore edge",
                                     "title page",  NULL};

const char *const pw_words_source[] = {"studio", "owner", NULL};

const PwWord pw_words_piece_kind[] = {{"part", PW_PIECE_PART},
                                      {"found inside", PW_PIECE_FOUND_INSIDE},
                                      {"removed", PW_PIECE_REMOVED},
                                      {NULL, 0}};
const PwWord pw_words_outcome[] = {
    {"reattached", PW_OUTCOME_REATTACHED},      {"replaced in position", PW_OUTCOME_REPLACED},
    {"returned to owner", PW_OUTCOME_RETURNED}, {"housed", PW_OUTCOME_HOUSED},
    {"discarded", PW_OUTCOME_DISCARDED},        {NULL, 0}};

static const char *
word_for(const PwWord *words, int value)
{
  for (; words->word != NULL; words++)
    if (words->value == value)
      return words->word;
  return "";
}

const char *
pw_stage_name(PwStage stage)
{
  return word_for(pw_words_stage, (int)stage);
}

const char *
pw_basis_name(PwBasis basis)
{
  return word_for(pw_words_basis, (int)basis);
}

const char *
pw_piece_kind_name(PwPieceKind kind)
{
  return word_for(pw_words_piece_kind, (int)kind);
}

const char *
pw_outcome_name(PwOutcome outcome)
{
  return word_for(pw_words_outcome, (int)outcome);
}

gboolean
pw_reference_split(const char *reference, char **file, char **id)
{
  const char *hash = strrchr(reference, '#');
  if (hash == NULL || hash == reference || hash[1] == '\0')
    return FALSE;
  *file = g_strndup(reference, (gsize)(hash - reference));
  *id = g_strdup(hash + 1);
  return TRUE;
}
