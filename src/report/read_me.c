/* The text that a bag is opened by: what each file is, how places and sizes are written, how to see
 * that nothing is lost, and whom it may be given to. Its words are those of the language. */
#include "read_me.h"

#include <string.h>

enum { COLUMNS = 78 };

typedef enum { TITLE, HEADING, PARAGRAPH, POINT, COMMAND } Manner;

typedef struct {
  Manner manner;
  const char *key; /* of the words; of a command, the command */
} Line;

static const Line of_studio[] = {
    {PARAGRAPH, "bag-what"},         {HEADING, "bag-private-head"}, {PARAGRAPH, "bag-private"},
    {HEADING, "bag-files-head"},     {POINT, "bag-file-data"},      {POINT, "bag-file-volume"},
    {POINT, "bag-file-photographs"}, {POINT, "bag-file-sidecars"},  {POINT, "bag-file-terms"},
    {POINT, "bag-file-issued"},      {POINT, "bag-file-manifests"}, {POINT, "bag-file-bag"},
    {HEADING, "bag-sizes-head"},     {PARAGRAPH, "bag-points"},     {PARAGRAPH, "bag-sizes"},
    {PARAGRAPH, "bag-units"},        {PARAGRAPH, "bag-originals"},
};

static const Line of_owner[] = {
    {PARAGRAPH, "bag-owner-what"},
    {HEADING, "bag-files-head"},
    {POINT, "bag-owner-file-photographs"},
    {POINT, "bag-owner-file-tables"},
    {POINT, "bag-owner-file-issued"},
    {POINT, "bag-file-manifests"},
    {POINT, "bag-file-bag"},
    {HEADING, "bag-sizes-head"},
    {PARAGRAPH, "bag-owner-sizes"},
};

static const Line of_both[] = {
    {HEADING, "bag-verify-head"},
    {PARAGRAPH, "bag-verify"},
    {COMMAND, "sha256sum -c manifest-sha256.txt"},
    {COMMAND, "sha256sum -c tagmanifest-sha256.txt"},
    {PARAGRAPH, "bag-verify-result"},
    {PARAGRAPH, "bag-verify-names"},
    {PARAGRAPH, "bag-platewright"},
};

/* Lines of words: the first stands after `hang` columns, the others after as many blanks. */
static void
append_wrapped(GString *text, const char *words, gsize hang)
{
  g_auto(GStrv) parts = g_strsplit_set(words, " \n", -1);
  gsize column = hang;
  for (char **part = parts; *part; part++) {
    const gsize width = (gsize)g_utf8_strlen(*part, -1);
    if (width == 0)
      continue;
    if (column > hang && column + 1 + width > COLUMNS) {
      g_string_append_printf(text, "\n%*s", (int)hang, "");
      column = hang;
    } else if (column > hang) {
      g_string_append_c(text, ' ');
      column++;
    }
    g_string_append(text, *part);
    column += width;
  }
  g_string_append_c(text, '\n');
}

static void
append_underlined(GString *text, const char *words, char with)
{
  const gsize start = text->len;
  append_wrapped(text, words, 0);
  const char *last = g_strrstr_len(text->str, (gssize)text->len - 1, "\n");
  last = last && last >= text->str + start ? last + 1 : text->str + start;
  g_autofree char *line = g_strnfill((gsize)g_utf8_strlen(last, -1) - 1, with);
  g_string_append_printf(text, "%s\n", line);
}

static void
append_line(GString *text, const PwWords *words, const Line *line, Manner before)
{
  const char *phrase = line->manner == COMMAND ? line->key : pw_words_peek(words, line->key);
  if (line->manner != before || line->manner == PARAGRAPH)
    g_string_append_c(text, '\n');
  switch (line->manner) {
  case TITLE:
    append_underlined(text, phrase, '=');
    return;
  case HEADING:
    append_underlined(text, phrase, '-');
    return;
  case PARAGRAPH:
    append_wrapped(text, phrase, 0);
    return;
  case POINT:
    g_string_append(text, "- ");
    append_wrapped(text, phrase, 2);
    return;
  case COMMAND:
    g_string_append_printf(text, "    %s\n", phrase);
    return;
  }
}

static Manner
append_lines(GString *text, const PwWords *words, const Line *lines, gsize n, Manner before)
{
  for (gsize i = 0; i < n; i++) {
    append_line(text, words, &lines[i], before);
    before = lines[i].manner;
  }
  return before;
}

char *
pw_read_me_dup(const PwModel *model, const PwWords *words, PwAudience audience)
{
  GString *text = g_string_new(NULL);
  const PwVolume *volume = pw_model_peek_volume(model);
  g_autofree char *title = pw_words_dup_phrase(
      words, "bag-title", "id", pw_model_peek_id(model), "title",
      volume && volume->title ? volume->title : pw_words_peek(words, "bag-untitled"), NULL);
  append_underlined(text, title, '=');
  Manner before = audience == PW_FOR_STUDIO
                      ? append_lines(text, words, of_studio, G_N_ELEMENTS(of_studio), TITLE)
                      : append_lines(text, words, of_owner, G_N_ELEMENTS(of_owner), TITLE);
  append_lines(text, words, of_both, G_N_ELEMENTS(of_both), before);
  return g_string_free(text, FALSE);
}
