/* Blocks of words: headings and what leads to them, paragraphs, lists, facts, lines to sign on. */
#include "set_html_private.h"

/* The document's title is a heading of level 1, the parts of it begin at 2. */
#define FIRST_LEVEL 2
#define DEEPEST 6

const char *
pw_html_word(const PwHtml *html, const char *key)
{
  return pw_words_peek(html->options->words, key);
}

/* ---- Prose -------------------------------------------------------------------------------------
 */

/* A line feed begins a line. */
static void
put_text(PwHtml *html, const char *text)
{
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (guint i = 0; lines[i] != NULL; i++) {
    if (i > 0)
      pw_markup_void(html->markup, "br", NULL);
    pw_markup_text(html->markup, lines[i]);
  }
}

static void
put_run(PwHtml *html, const PwRun *run)
{
  static const char *const elements[] = {
      [PW_VOICE_PLAIN] = NULL,
      [PW_VOICE_STRONG] = "strong",
      [PW_VOICE_SOFT] = "span",
      [PW_VOICE_ASIDE] = "i",
  };
  g_autofree char *target = pw_html_dup_target(html, run->anchor);
  const char *element = elements[run->voice];
  if (target != NULL)
    pw_markup_open(html->markup, "a", "href", target, NULL);
  if (element != NULL)
    pw_markup_open(html->markup, element, "class", run->voice == PW_VOICE_SOFT ? "soft" : NULL,
                   NULL);
  put_text(html, run->text);
  if (element != NULL)
    pw_markup_close(html->markup);
  if (target != NULL)
    pw_markup_close(html->markup);
}

void
pw_html_prose(PwHtml *html, const PwProse *prose)
{
  for (guint i = 0; i < prose->runs->len; i++)
    put_run(html, &g_array_index(prose->runs, PwRun, i));
}

/* ---- Headings ----------------------------------------------------------------------------------
 */

/* A heading never skips a level, whatever stands in the document: who listens goes by them. */
static void
put_heading(PwHtml *html, const PwBlock *block)
{
  static const char *const names[] = {"h2", "h3", "h4", "h5", "h6"};
  int wanted = FIRST_LEVEL + MAX(block->level, 1) - 1;
  html->level = MIN(MIN(wanted, html->level + 1), DEEPEST);
  g_autofree char *id = pw_html_claim_id(html, block->anchor);
  pw_markup_open(html->markup, names[html->level - FIRST_LEVEL], "id", id, NULL);
  pw_html_prose(html, &block->prose);
  pw_markup_close(html->markup);
}

static void
put_entry(PwHtml *html, const PwBlock *block, const char *target)
{
  pw_markup_open(html->markup, "li", NULL);
  pw_markup_open(html->markup, "a", "href", target, NULL);
  pw_html_prose(html, &block->prose);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}

/* The parts of the document that have an anchor, in a navigation of its own. One part alone is
 * found without. */
void
pw_html_contents(PwHtml *html)
{
  g_autoptr(GPtrArray) parts = g_ptr_array_new(), targets = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; i < html->doc->blocks->len; i++) {
    const PwBlock *block = html->doc->blocks->pdata[i];
    if (block->kind != PW_BLOCK_HEADING || block->level != 1)
      continue;
    char *target = pw_html_dup_target(html, block->anchor);
    if (target == NULL)
      continue;
    g_ptr_array_add(parts, (gpointer)block);
    g_ptr_array_add(targets, target);
  }
  if (parts->len < 2)
    return;
  pw_markup_open(html->markup, "nav", "aria-label", pw_html_word(html, "html-contents"), NULL);
  pw_markup_open(html->markup, "ol", NULL);
  for (guint i = 0; i < parts->len; i++)
    put_entry(html, parts->pdata[i], targets->pdata[i]);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}

/* ---- Paragraphs, lists, facts ------------------------------------------------------------------
 */

static void
put_paragraph(PwHtml *html, const PwBlock *block)
{
  static const char *const classes[] = {
      [PW_PARAGRAPH_BODY] = NULL,
      [PW_PARAGRAPH_LEAD] = "lead",
      [PW_PARAGRAPH_NOTE] = "note",
      [PW_PARAGRAPH_CAUTION] = "caution",
  };
  pw_markup_open(html->markup, "p", "class", classes[block->role], NULL);
  pw_html_prose(html, &block->prose);
  pw_markup_close(html->markup);
}

static void
put_list(PwHtml *html, const PwBlock *block)
{
  pw_markup_open(html->markup, block->is_numbered ? "ol" : "ul", "class", "list", NULL);
  for (guint i = 0; i < block->items->len; i++) {
    pw_markup_open(html->markup, "li", NULL);
    pw_html_prose(html, block->items->pdata[i]);
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}

static void
put_facts(PwHtml *html, const PwBlock *block)
{
  pw_markup_open(html->markup, "dl", "class", "facts", NULL);
  for (guint i = 0; i < block->items->len; i++) {
    pw_markup_open(html->markup, "div", NULL);
    pw_markup_element(html->markup, "dt", block->labels->pdata[i], NULL);
    pw_markup_open(html->markup, "dd", NULL);
    pw_html_prose(html, block->items->pdata[i]);
    pw_markup_close(html->markup);
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}

static void
put_sign(PwHtml *html, const PwBlock *block)
{
  pw_markup_open(html->markup, "div", "class", "sign", NULL);
  for (guint i = 0; i < block->labels->len; i++)
    pw_markup_element(html->markup, "p", block->labels->pdata[i], NULL);
  pw_markup_close(html->markup);
}

static void
put_break(PwHtml *html, const PwBlock *block G_GNUC_UNUSED)
{
  pw_markup_element(html->markup, "div", "", "class", "break", NULL);
}

/* ---- Any block ---------------------------------------------------------------------------------
 */

void
pw_html_block(PwHtml *html, const PwBlock *block)
{
  static void (*const put[])(PwHtml *, const PwBlock *) = {
      [PW_BLOCK_HEADING] = put_heading,     [PW_BLOCK_PARAGRAPH] = put_paragraph,
      [PW_BLOCK_LIST] = put_list,           [PW_BLOCK_FACTS] = put_facts,
      [PW_BLOCK_TABLE] = pw_html_table,     [PW_BLOCK_PLATE] = pw_html_plate,
      [PW_BLOCK_DRAWING] = pw_html_drawing, [PW_BLOCK_SIGN] = put_sign,
      [PW_BLOCK_BREAK] = put_break,
  };
  put[block->kind](html, block);
  pw_markup_verbatim(html->markup, "\n");
}
