/* A document as plain text: what it says, without how it looks. */
#include "doc.h"

#include <string.h>

/* Within one line, which none of the record's own words makes a heading. */
static void
add_words(GString *text, const char *words)
{
  if (*words == '#' && text->len > 0 && text->str[text->len - 1] == '\n')
    g_string_append_len(text, PW_DOC_NO_HEADING, (gssize)strlen(PW_DOC_NO_HEADING) - 1);
  for (const char *at = words; *at != '\0'; at++)
    g_string_append_c(text, *at == '\n' ? ' ' : *at);
}

static void
add_prose(GString *text, const PwProse *prose)
{
  for (guint i = 0; i < prose->runs->len; i++)
    add_words(text, g_array_index(prose->runs, PwRun, i).text);
}

static void
add_line(GString *text, const PwProse *prose)
{
  add_prose(text, prose);
  g_string_append_c(text, '\n');
}

static void
add_items(GString *text, const PwBlock *block)
{
  for (guint i = 0; i < block->items->len; i++) {
    if (block->labels != NULL)
      g_string_append_printf(text, "%s: ", (const char *)block->labels->pdata[i]);
    else if (block->is_numbered)
      g_string_append_printf(text, "%u. ", i + 1);
    else
      g_string_append(text, "- ");
    add_line(text, block->items->pdata[i]);
  }
}

static void
add_table(GString *text, const PwBlock *block)
{
  if (!pw_prose_is_empty(&block->prose))
    add_line(text, &block->prose);
  for (gsize j = 0; j < block->n_columns; j++)
    g_string_append_printf(text, "%s%s", j > 0 ? " | " : "", block->columns[j].title);
  g_string_append_c(text, '\n');
  for (guint i = 0; i < block->rows->len; i++) {
    const PwRow *row = block->rows->pdata[i];
    for (gsize j = 0; j < block->n_columns; j++) {
      g_string_append(text, j > 0 ? " | " : "");
      add_prose(text, &row->cells[j]);
    }
    g_string_append_c(text, '\n');
  }
}

static void
add_block_text(GString *text, const PwBlock *block)
{
  switch (block->kind) {
  case PW_BLOCK_HEADING:
    for (int i = 0; i < block->level; i++)
      g_string_append_c(text, '#');
    g_string_append_c(text, ' ');
    add_line(text, &block->prose);
    break;
  case PW_BLOCK_PARAGRAPH:
    add_line(text, &block->prose);
    break;
  case PW_BLOCK_LIST:
  case PW_BLOCK_FACTS:
    add_items(text, block);
    break;
  case PW_BLOCK_TABLE:
    add_table(text, block);
    break;
  case PW_BLOCK_PLATE:
    g_string_append_printf(text, "[%u] %s\n", block->number, block->plate->title);
    break;
  case PW_BLOCK_DRAWING:
    g_string_append_printf(text, "[%s] %s\n", block->drawing->title,
                           block->drawing->says != NULL ? block->drawing->says : "");
    break;
  case PW_BLOCK_SIGN:
    for (guint i = 0; i < block->labels->len; i++)
      g_string_append_printf(text, "____ %s\n", (const char *)block->labels->pdata[i]);
    break;
  case PW_BLOCK_BREAK:
    break;
  }
}

/* Which photographs the plates show, with all that is said and drawn on them: two texts of one
 * wording may be of other pictures. */
static void
digest_photo(GString *all, const PwModelPhoto *photo)
{
  if (photo == NULL)
    return;
  g_autofree char *tag = photo->sidecar != NULL ? pw_sidecar_dup_tag(photo->sidecar) : NULL;
  g_string_append_printf(all, "%s %s\n", photo->sha256 ? photo->sha256 : "", tag ? tag : "");
}

static char *
dup_digest(const PwDoc *doc)
{
  g_autoptr(GString) all = g_string_new(NULL);
  for (guint i = 0; i < doc->blocks->len; i++) {
    const PwBlock *block = doc->blocks->pdata[i];
    const PwModelPlate *plate = block->kind == PW_BLOCK_PLATE ? block->plate : NULL;
    if (plate == NULL)
      continue;
    digest_photo(all, plate->before);
    digest_photo(all, plate->during);
    digest_photo(all, plate->after);
    digest_photo(all, plate->detail);
  }
  return pw_sha256_dup_hex(all->str, all->len);
}

char *
pw_doc_dup_text(const PwDoc *doc)
{
  GString *text = g_string_new(NULL);
  g_autofree char *digest = dup_digest(doc);
  add_words(text, doc->title);
  g_string_append_c(text, '\n');
  add_words(text, doc->subject != NULL ? doc->subject : "");
  g_string_append_printf(text, "\nlanguage: %s\nplates: %s\n", doc->language, digest);
  for (guint i = 0; i < doc->blocks->len; i++)
    add_block_text(text, doc->blocks->pdata[i]);
  return g_string_free(text, FALSE);
}
