/* Headings: beside the text they head where it leaves the margin column free, else on lines of
 * their own from the same edge; never without what follows them.
 */
#include "set_pdf_setting.h"

#include <string.h>

/* From the rule over a heading of the first level to its words, in steps of the grid. */
#define RULE_DROP 0.35

enum { N_LEVELS = 3 };
static const PwRole roles[] = {PW_ROLE_DOC_HEAD_1, PW_ROLE_DOC_HEAD_2, PW_ROLE_DOC_HEAD_3};
static const PwElement elements[] = {PW_ELEMENT_H1, PW_ELEMENT_H2, PW_ELEMENT_H3};

static const char *
words_of(const PwBlock *block)
{
  return g_array_index(block->prose.runs, PwRun, 0).text;
}

static const PwText *
again_of(PwSetting *s, const char *what)
{
  g_autofree char *words = pw_words_dup_phrase(s->words, "continued", "what", what, NULL);
  return pw_set_words(s, PW_ROLE_DOC_NOTE, words, s->grid.full);
}

const PwText *
pw_set_again(PwSetting *s, const char *what)
{
  const PwText *text = again_of(s, what);
  g_autofree char *less = g_strdup(what);
  char *space = NULL;
  while (pw_text_n_lines(text) > 1 && (space = strrchr(less, ' ')) != NULL) {
    *space = '\0';
    g_autofree char *begun = g_strconcat(less, "\u2026", NULL);
    text = again_of(s, begun);
  }
  return text;
}

/* The heading of the block under way, or before it, of that level or one above. */
static const PwBlock *
nearest(const PwSetting *s, int level)
{
  for (guint i = s->block; i > 0; i--) {
    const PwBlock *block = s->doc->blocks->pdata[i - 1];
    if (block->kind == PW_BLOCK_HEADING && block->level <= level &&
        !pw_prose_is_empty(&block->prose))
      return block;
  }
  return NULL;
}

/* "What was proposed: Spine", by the headings over the block under way; NULL: there is none.
 * Yours. */
static char *
dup_way(const PwSetting *s)
{
  const PwBlock *heading = nearest(s, N_LEVELS), *over = nearest(s, 1);
  if (heading == NULL || over == NULL || over == heading)
    return heading != NULL ? g_strdup(words_of(heading)) : NULL;
  return pw_words_dup_phrase(s->words, "labelled", "label", words_of(over), "text",
                             words_of(heading), NULL);
}

void
pw_set_again_within(PwSetting *s, const char *part, guint first)
{
  g_autofree char *way = dup_way(s);
  if (way == NULL)
    return;
  g_autofree char *what =
      pw_words_dup_phrase(s->words, "labelled", "label", way, "text", part, NULL);
  const PwText *again = pw_set_again(s, what);
  for (guint i = first; i < s->strips->len; i++)
    pw_setting_peek_strip(s, i)->again = again;
}

static void
set_own_lines(PwSetting *s, const PwBlock *block, PwRole role, PwElement element, double above)
{
  PwText *text = pw_set_prose(s, role, &block->prose, PW_VOICE_PLAIN, s->grid.full);
  double pad = 0;
  guint first = s->strips->len;
  if (block->level == 1)
    pad = RULE_DROP * s->grid.step;
  pw_set_begin(s, element);
  pw_set_lines(s, role, text, s->grid.left, above, pad);
  pw_set_end(s);
  pw_setting_peek_strip(s, first)->is_aligned = TRUE;
  if (block->level == 1)
    pw_strip_rule(pw_setting_peek_strip(s, first), s->grid.left, s->grid.left + s->grid.full, 0,
                  pw_style_length(s->style, "hairline"));
  for (guint i = first + 1; i < s->strips->len; i++)
    pw_setting_peek_strip(s, i)->is_tied = TRUE;
  pw_set_keep(s);
}

void
pw_set_stand(PwSetting *s)
{
  PwText *text = s->side_head;
  if (text == NULL)
    return;
  pw_text_set_width(text, s->grid.full);
  PwStrip *strip =
      pw_set_strip(s, s->side_space, pw_text_height(text), pw_text_first_baseline(text));
  strip->is_aligned = TRUE;
  pw_set_settle(s);
  pw_set_keep(s);
}

void
pw_set_heading(PwSetting *s, const PwBlock *block)
{
  int level = CLAMP(block->level, 1, N_LEVELS) - 1;
  PwRole role = roles[level];
  double space = pw_set_space(s);
  pw_set_stand(s);
  s->again = level > 0 ? s->under[level - 1] : NULL;
  pw_set_place(s, block->anchor);
  if (level < 2)
    pw_set_bookmark(s, level, words_of(block));
  PwText *text = pw_set_prose(s, role, &block->prose, PW_VOICE_PLAIN, s->grid.side_width);
  if (level == 0 || !pw_set_may_hang(s, text)) {
    set_own_lines(s, block, role, elements[level], space);
  } else {
    pw_set_hang(s, elements[level], text, s->grid.left, pw_set_align(text));
    s->side_head = text;
    s->side_space = space;
    s->side_again = s->again;
  }
  g_autofree char *way = dup_way(s);
  s->again = pw_set_again(s, way);
  for (int below = level; below < N_LEVELS; below++)
    s->under[below] = s->again;
}
