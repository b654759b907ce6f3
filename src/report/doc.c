/* Doc: built up block by block. */
#include "doc.h"

#include <string.h>

/* ---- Prose ------------------------------------------------------------------------- */

static void
clear_run(gpointer data)
{
  PwRun *run = data;
  g_free(run->text);
  g_free(run->anchor);
}

static void
init_prose(PwProse *prose)
{
  prose->runs = g_array_new(FALSE, TRUE, sizeof(PwRun));
  g_array_set_clear_func(prose->runs, clear_run);
}

static void
clear_prose(PwProse *prose)
{
  g_array_unref(prose->runs);
}

static PwProse *
new_prose(void)
{
  PwProse *prose = g_new0(PwProse, 1);
  init_prose(prose);
  return prose;
}

static void
free_prose(gpointer data)
{
  clear_prose(data);
  g_free(data);
}

static void
add_run(PwProse *prose, PwVoice voice, const char *text, const char *anchor)
{
  PwRun run = {.text = g_strdup(text), .voice = voice, .anchor = g_strdup(anchor)};
  g_array_append_val(prose->runs, run);
}

void
pw_prose_add(PwProse *prose, PwVoice voice, const char *text)
{
  add_run(prose, voice, text, NULL);
}

void
pw_prose_add_link(PwProse *prose, const char *text, const char *anchor)
{
  add_run(prose, PW_VOICE_PLAIN, text, anchor);
}

gboolean
pw_prose_is_empty(const PwProse *prose)
{
  return prose->runs->len == 0;
}

/* ---- Blocks ------------------------------------------------------------------------ */

static void
free_row(gpointer data)
{
  PwRow *row = data;
  g_free(row->anchor);
  g_free(row);
}

static void
clear_table(PwBlock *block)
{
  for (guint i = 0; block->rows != NULL && i < block->rows->len; i++) {
    PwRow *row = block->rows->pdata[i];
    for (gsize j = 0; j < block->n_columns; j++)
      clear_prose(&row->cells[j]);
    g_free(row->cells);
  }
  g_clear_pointer(&block->rows, g_ptr_array_unref);
  for (gsize j = 0; j < block->n_columns; j++)
    g_free((char *)block->columns[j].title);
  g_free(block->columns);
}

static void
free_plate(PwModelPlate *plate)
{
  if (plate == NULL)
    return;
  g_free(plate->title);
  g_free(plate->view);
  g_free(plate->place);
  g_free(plate);
}

static void
free_block(gpointer data)
{
  PwBlock *block = data;
  free_plate(block->plate);
  clear_table(block);
  clear_prose(&block->prose);
  g_clear_pointer(&block->items, g_ptr_array_unref);
  g_clear_pointer(&block->labels, g_ptr_array_unref);
  pw_drawing_free(block->drawing);
  g_free(block->anchor);
  g_free(block);
}

static PwBlock *
add_block(PwDoc *doc, PwBlockKind kind)
{
  PwBlock *block = g_new0(PwBlock, 1);
  block->kind = kind;
  init_prose(&block->prose);
  g_ptr_array_add(doc->blocks, block);
  return block;
}

void
pw_doc_heading(PwDoc *doc, int level, const char *text, const char *anchor)
{
  PwBlock *block = add_block(doc, PW_BLOCK_HEADING);
  block->level = level;
  block->anchor = g_strdup(anchor);
  pw_prose_add(&block->prose, PW_VOICE_PLAIN, text);
}

PwProse *
pw_doc_paragraph(PwDoc *doc, PwParagraphRole role)
{
  PwBlock *block = add_block(doc, PW_BLOCK_PARAGRAPH);
  block->role = role;
  return &block->prose;
}

void
pw_doc_say(PwDoc *doc, PwParagraphRole role, PwVoice voice, const char *text)
{
  pw_prose_add(pw_doc_paragraph(doc, role), voice, text);
}

PwBlock *
pw_doc_list(PwDoc *doc, gboolean is_numbered)
{
  PwBlock *block = add_block(doc, PW_BLOCK_LIST);
  block->is_numbered = is_numbered;
  block->items = g_ptr_array_new_with_free_func(free_prose);
  return block;
}

PwProse *
pw_list_item(PwBlock *list)
{
  PwProse *item = new_prose();
  g_ptr_array_add(list->items, item);
  return item;
}

PwBlock *
pw_doc_facts(PwDoc *doc)
{
  PwBlock *block = add_block(doc, PW_BLOCK_FACTS);
  block->items = g_ptr_array_new_with_free_func(free_prose);
  block->labels = g_ptr_array_new_with_free_func(g_free);
  return block;
}

PwProse *
pw_facts_add(PwBlock *facts, const char *label)
{
  g_ptr_array_add(facts->labels, g_strdup(label));
  return pw_list_item(facts);
}

PwBlock *
pw_doc_table(PwDoc *doc, const char *caption, const PwColumn *columns, gsize n)
{
  PwBlock *block = add_block(doc, PW_BLOCK_TABLE);
  if (caption != NULL)
    pw_prose_add(&block->prose, PW_VOICE_PLAIN, caption);
  block->columns = g_memdup2(columns, n * sizeof *columns);
  block->n_columns = n;
  for (gsize i = 0; i < n; i++)
    block->columns[i].title = g_strdup(columns[i].title);
  block->rows = g_ptr_array_new_with_free_func(free_row);
  return block;
}

PwRow *
pw_table_row(PwBlock *table)
{
  PwRow *row = g_new0(PwRow, 1);
  row->cells = g_new0(PwProse, table->n_columns);
  for (gsize i = 0; i < table->n_columns; i++)
    init_prose(&row->cells[i]);
  g_ptr_array_add(table->rows, row);
  return row;
}

PwProse *
pw_row_cell(PwRow *row, gsize column)
{
  return &row->cells[column];
}

static gboolean
is_empty(const PwBlock *table, gsize column)
{
  for (guint i = 0; i < table->rows->len; i++)
    if (!pw_prose_is_empty(&((const PwRow *)table->rows->pdata[i])->cells[column]))
      return FALSE;
  return TRUE;
}

static void
dash_empty(PwBlock *table, gsize column)
{
  for (guint i = 0; i < table->rows->len; i++) {
    const PwRow *row = table->rows->pdata[i];
    if (pw_prose_is_empty(&row->cells[column]) && !row->is_sum)
      pw_prose_add(&row->cells[column], PW_VOICE_SOFT, "\u2013");
  }
}

void
pw_table_tidy(PwBlock *table, gsize column)
{
  if (!is_empty(table, column)) {
    dash_empty(table, column);
    return;
  }
  const gsize behind = table->n_columns - column - 1;
  for (guint i = 0; i < table->rows->len; i++) {
    PwProse *cells = ((PwRow *)table->rows->pdata[i])->cells;
    clear_prose(&cells[column]);
    memmove(&cells[column], &cells[column + 1], behind * sizeof *cells);
  }
  g_free((char *)table->columns[column].title);
  memmove(&table->columns[column], &table->columns[column + 1], behind * sizeof *table->columns);
  table->n_columns--;
}

guint
pw_doc_plate(PwDoc *doc, const PwModelPlate *plate)
{
  PwBlock *block = add_block(doc, PW_BLOCK_PLATE);
  block->plate = g_memdup2(plate, sizeof *plate);
  block->plate->title = g_strdup(plate->title);
  block->plate->view = g_strdup(plate->view);
  block->plate->place = g_strdup(plate->place);
  block->number = ++doc->n_plates;
  block->anchor = g_strdup_printf("plate-%u", block->number);
  return block->number;
}

void
pw_doc_drawing(PwDoc *doc, PwDrawing *drawing, const char *caption)
{
  PwBlock *block = add_block(doc, PW_BLOCK_DRAWING);
  block->drawing = drawing;
  if (caption != NULL)
    pw_prose_add(&block->prose, PW_VOICE_PLAIN, caption);
}

PwBlock *
pw_doc_sign(PwDoc *doc)
{
  PwBlock *block = add_block(doc, PW_BLOCK_SIGN);
  block->labels = g_ptr_array_new_with_free_func(g_free);
  return block;
}

void
pw_sign_line(PwBlock *sign, const char *label)
{
  g_ptr_array_add(sign->labels, g_strdup(label));
}

void
pw_doc_break(PwDoc *doc)
{
  add_block(doc, PW_BLOCK_BREAK);
}

/* ---- The document ------------------------------------------------------------------ */

PwDoc *
pw_doc_new(const char *title, const char *language, PwAudience audience)
{
  PwDoc *doc = g_new0(PwDoc, 1);
  doc->title = g_strdup(title);
  doc->language = g_strdup(language);
  doc->audience = audience;
  doc->blocks = g_ptr_array_new_with_free_func(free_block);
  return doc;
}

void
pw_doc_free(PwDoc *doc)
{
  if (doc == NULL)
    return;
  g_ptr_array_unref(doc->blocks);
  g_free(doc->title);
  g_free(doc->subject);
  g_free(doc->foot);
  g_free(doc->language);
  g_free(doc->author);
  g_free(doc->date);
  g_free(doc);
}
