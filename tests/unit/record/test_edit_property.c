/* Random edits of random sidecars: what the text says afterwards is what a plain table of keys in
 * memory says, no line that is not concerned has changed a byte, and the inverse edits give the
 * record back.
 */
#include "fixtures.h"

#include "record/sidecar_edit.h"

#include <stdio.h>
#include <string.h>

enum { TEXTS = 60, EDITS = 40, SEED = 20260302, MOST_LISTED = 6, CELL = 100, CELLS = 90 };

/* ---- What a text says, read without the code under test ---------------------------- */

/* "MARK|KEY" or "|KEY" to its texts, joined by line feeds; and the ids in their order. */
typedef struct {
  GHashTable *says;
  GPtrArray *ids;
} Told;

static Told *
told_new(void)
{
  Told *told = g_new0(Told, 1);
  told->says = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  told->ids = g_ptr_array_new_with_free_func(g_free);
  return told;
}

static void
told_free(Told *told)
{
  g_hash_table_unref(told->says);
  g_ptr_array_unref(told->ids);
  g_free(told);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Told, told_free)

static char *
dup_texts(const PwYamlNode *node)
{
  if (pw_yaml_node_kind(node) == PW_YAML_SCALAR)
    return g_strdup(pw_yaml_node_peek_text(node));
  g_autoptr(GString) all = g_string_new(NULL);
  const gboolean is_list = pw_yaml_node_kind(node) == PW_YAML_SEQUENCE;
  for (guint i = 0; i < pw_yaml_node_n(node); i++) {
    g_autofree char *text =
        dup_texts(is_list ? pw_yaml_node_item(node, i) : pw_yaml_node_value(node, i));
    g_string_append_printf(all, "%s%s", i == 0 ? "" : is_list ? "\n" : " ", text);
  }
  return g_strdup(all->str);
}

static void
tell_mapping(Told *told, const char *mark, const char *above, const PwYamlNode *mapping)
{
  for (guint i = 0; i < pw_yaml_node_n(mapping); i++) {
    const char *key = pw_yaml_node_peek_text(pw_yaml_node_key(mapping, i));
    const PwYamlNode *value = pw_yaml_node_value(mapping, i);
    g_autofree char *path = g_strconcat(above, *above ? "/" : "", key, NULL);
    if (!*mark && g_str_equal(path, "marks"))
      continue;
    if (pw_yaml_node_kind(value) == PW_YAML_MAPPING)
      tell_mapping(told, mark, path, value);
    else
      g_hash_table_insert(told->says, g_strconcat(mark, "|", path, NULL), dup_texts(value));
  }
}

static Told *
told_by(const PwYaml *yaml)
{
  Told *told = told_new();
  const PwYamlNode *root = pw_yaml_peek_root(yaml), *marks = pw_yaml_node_get(root, "marks");
  tell_mapping(told, "", "", root);
  for (guint i = 0; marks && i < pw_yaml_node_n(marks); i++) {
    const PwYamlNode *mark = pw_yaml_node_item(marks, i);
    const char *id = pw_yaml_node_peek_text(pw_yaml_node_get(mark, "id"));
    g_ptr_array_add(told->ids, g_strdup(id));
    tell_mapping(told, id, "", mark);
  }
  return told;
}

static char *
dup_told(const Told *told, gboolean in_order)
{
  g_autoptr(GList) keys = g_list_sort(g_hash_table_get_keys(told->says), (GCompareFunc)strcmp);
  g_autoptr(GString) all = g_string_new(NULL);
  for (guint i = 0; in_order && i < told->ids->len; i++)
    g_string_append_printf(all, "%s;", (char *)told->ids->pdata[i]);
  for (GList *at = keys; at; at = at->next)
    g_string_append_printf(all, "\n%s=%s", (char *)at->data,
                           (char *)g_hash_table_lookup(told->says, at->data));
  return g_strdup(all->str);
}

/* ---- The same edits on the table --------------------------------------------------- */

static void
forget_mark(Told *told, const char *id)
{
  g_autofree char *prefix = g_strconcat(id, "|", NULL);
  GHashTableIter iter;
  gpointer key;
  g_hash_table_iter_init(&iter, told->says);
  while (g_hash_table_iter_next(&iter, &key, NULL))
    if (g_str_has_prefix(key, prefix))
      g_hash_table_iter_remove(&iter);
  for (guint i = 0; i < told->ids->len; i++)
    if (g_str_equal(told->ids->pdata[i], id))
      g_ptr_array_remove_index(told->ids, i--);
}

static void
tell_edit(Told *told, const PwSidecarEdit *edit)
{
  const char *mark = edit->mark ? edit->mark : "";
  if (edit->key == NULL) {
    forget_mark(told, mark);
    return;
  }
  g_autofree char *key = g_strconcat(mark, "|", edit->key, NULL);
  if (edit->values == NULL) {
    g_hash_table_remove(told->says, key);
    return;
  }
  if (*mark && !g_ptr_array_find_with_equal_func(told->ids, mark, g_str_equal, NULL)) {
    g_ptr_array_add(told->ids, g_strdup(mark));
    g_hash_table_insert(told->says, g_strconcat(mark, "|id", NULL), g_strdup(mark));
  }
  g_hash_table_insert(told->says, g_steal_pointer(&key), g_strjoinv("\n", (char **)edit->values));
}

/* ---- Edits, and their inverse ------------------------------------------------------ */

typedef struct {
  GArray *edits;    /* PwSidecarEdit */
  GPtrArray *own;   /* what they point at: char * */
  GPtrArray *lists; /* char ** */
} Call;

static Call *
call_new(void)
{
  Call *call = g_new0(Call, 1);
  call->edits = g_array_new(FALSE, FALSE, sizeof(PwSidecarEdit));
  call->own = g_ptr_array_new_with_free_func(g_free);
  call->lists = g_ptr_array_new_with_free_func((GDestroyNotify)g_strfreev);
  return call;
}

static void
call_free(Call *call)
{
  g_array_unref(call->edits);
  g_ptr_array_unref(call->own);
  g_ptr_array_unref(call->lists);
  g_free(call);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Call, call_free)

static const char *
keep(Call *call, const char *text)
{
  if (text)
    g_ptr_array_add(call->own, g_strdup(text));
  return text ? call->own->pdata[call->own->len - 1] : NULL;
}

/* `joined` NULL: the key goes; `key` NULL: the mark goes. */
static void
add(Call *call, const char *mark, const char *key, const char *joined)
{
  char **values = joined ? g_strsplit(joined, "\n", -1) : NULL;
  if (values)
    g_ptr_array_add(call->lists, values);
  const PwSidecarEdit edit = {keep(call, mark), keep(call, key), (const char *const *)values};
  g_array_append_val(call->edits, edit);
}

/* What leads from one table to another. */
static Call *
way_between(const Told *from, const Told *to)
{
  Call *call = call_new();
  GHashTableIter iter;
  gpointer key, value;
  for (guint i = 0; i < from->ids->len; i++)
    if (!g_ptr_array_find_with_equal_func(to->ids, from->ids->pdata[i], g_str_equal, NULL))
      add(call, from->ids->pdata[i], NULL, NULL);
  g_hash_table_iter_init(&iter, from->says);
  while (g_hash_table_iter_next(&iter, &key, NULL)) {
    g_auto(GStrv) parts = g_strsplit(key, "|", 2);
    const gboolean stays =
        !*parts[0] || g_ptr_array_find_with_equal_func(to->ids, parts[0], g_str_equal, NULL);
    if (stays && !g_hash_table_contains(to->says, key))
      add(call, *parts[0] ? parts[0] : NULL, parts[1], NULL);
  }
  g_hash_table_iter_init(&iter, to->says);
  while (g_hash_table_iter_next(&iter, &key, &value)) {
    g_auto(GStrv) parts = g_strsplit(key, "|", 2);
    if (g_strcmp0(value, g_hash_table_lookup(from->says, key)) != 0)
      add(call, *parts[0] ? parts[0] : NULL, parts[1], value);
  }
  return call;
}

/* ---- Random ------------------------------------------------------------------------ */

static int
roll(GRand *random, int n)
{
  return g_rand_int_range(random, 0, n);
}

static const char *
one_of(GRand *random, const char *const *words)
{
  return words[roll(random, (int)g_strv_length((char **)words))];
}

static const char *const hostile[] = {"plain",
                                      "lost # 2 boards",
                                      "a: b",
                                      "\"quoted\"",
                                      "it's",
                                      "{x, y}",
                                      "- x",
                                      "[1]",
                                      "yes",
                                      "~",
                                      "\u00e9\u65e5\u2028",
                                      "tab\there",
                                      "back\\slash",
                                      " blank ",
                                      "# x",
                                      "*a",
                                      "&a",
                                      "!t",
                                      "%d",
                                      NULL};
static const char *const terms[] = {"loss", "tear", "loose sewing", "undecided", "red rot", NULL};
static const char *const ids[] = {"1", "01", "2", "x", "A b", "7a", "10", "'q", "3.5", NULL};

/* A square in the mark's own cell of a grid, and holes in it. */
static char *
dup_square(GRand *random, int cell, int inset, int shift)
{
  const int x = (cell % 9) * CELL + shift, y = (cell / 9) * CELL;
  const int a = inset, b = CELL - inset;
  const int part = roll(random, 9) + 1;
  return g_strdup_printf("%d,%d %d.%d,%d %d,%d.0%d %d,%d", x + a, y + a, x + b, part, y + a, x + b,
                         y + b, part, x + a, y + b);
}

static char *
dup_holes(GRand *random, int cell)
{
  g_autoptr(GString) all = g_string_new(NULL);
  const int n = 1 + roll(random, 3), x = (cell % 9) * CELL, y = (cell / 9) * CELL;
  for (int i = 0; i < n; i++)
    g_string_append_printf(all, "%s%d,%d %d,%d %d,%d.%d", i ? "\n" : "", x + 20 + 20 * i, y + 20,
                           x + 30 + 20 * i, y + 20, x + 30 + 20 * i, y + 40, 1 + roll(random, 9));
  return g_strdup(all->str);
}

static gboolean
says(const Told *told, const char *mark, const char *key)
{
  g_autofree char *path = g_strconcat(mark, "|", key, NULL);
  return g_hash_table_contains(told->says, path);
}

static void
add_new_mark(GRand *random, const Told *told, Call *call)
{
  const char *id = one_of(random, ids);
  if (g_ptr_array_find_with_equal_func(told->ids, id, g_str_equal, NULL))
    return;
  const int cell = roll(random, CELLS);
  g_autofree char *square = dup_square(random, cell, 10, 0), *holes = dup_holes(random, cell);
  add(call, id, "outline", square);
  add(call, id, "term", one_of(random, terms));
  if (roll(random, 2))
    add(call, id, "holes", holes);
  if (roll(random, 2))
    add(call, id, "note", one_of(random, hostile));
  if (roll(random, 4) == 0)
    add(call, id, "same-as", "b c.jpg#3");
  if (roll(random, 2))
    add(call, id, "uncertainty/outline", "12");
}

static void
change_mark(GRand *random, const Told *told, Call *call)
{
  if (told->ids->len == 0)
    return;
  const char *id = told->ids->pdata[roll(random, (int)told->ids->len)];
  const int cell = roll(random, CELLS);
  g_autofree char *square = dup_square(random, cell, 10, 0), *holes = dup_holes(random, cell);
  switch (roll(random, 9)) {
  case 0:
    add(call, id, NULL, NULL);
    return;
  case 1:
    add(call, id, "term", one_of(random, terms));
    return;
  case 2: /* to an outline elsewhere, whatever it was */
    add(call, id, "outline", square);
    add(call, id, "holes", roll(random, 2) ? holes : NULL);
    add(call, id, "line", NULL);
    add(call, id, "point", NULL);
    return;
  case 3: /* to a point */
    add(call, id, "point", "5.5,6.25");
    add(call, id, "outline", NULL);
    add(call, id, "holes", NULL);
    add(call, id, "line", NULL);
    return;
  case 4:
    add(call, id, "severity", roll(random, 2) ? "2" : NULL);
    return;
  case 5:
    add(call, id, "plane-offset", roll(random, 2) ? "-3.5" : "thickness");
    return;
  case 6:
    add(call, id, "part", one_of(random, hostile));
    return;
  case 7:
    add(call, id, "uncertainty/outline", roll(random, 3) ? "9.5" : NULL);
    return;
  default:
    add(call, id, "note", roll(random, 3) ? one_of(random, hostile) : NULL);
  }
}

static void
add_scale(Call *call, const Told *told, int which)
{
  static const char *const keys[] = {"scale/tags",
                                     "scale/span/from",
                                     "scale/span/to",
                                     "scale/span/length",
                                     "scale/ticks/from",
                                     "scale/ticks/to",
                                     "scale/ticks/pitch",
                                     "scale/rectangle/corners",
                                     "scale/rectangle/width",
                                     "scale/rectangle/height",
                                     "scale/rectangle/tolerance",
                                     "scale/span/tolerance",
                                     NULL};
  static const char *const wanted[][4] = {
      {"scale/tags"},
      {"scale/span/from", "scale/span/to", "scale/span/length"},
      {"scale/rectangle/corners", "scale/rectangle/width", "scale/rectangle/height"},
      {NULL}};
  static const char *const values[][4] = {{"bench\nsecond b"},
                                          {"1,1", "90.5,1", "10"},
                                          {"10,10 95.5,10 95,64 10,63.25", "85.60", "53.98"},
                                          {NULL}};
  for (gsize i = 0; keys[i]; i++)
    if (says(told, "", keys[i]) && !g_strv_contains(wanted[which], keys[i]))
      add(call, NULL, keys[i], NULL);
  for (gsize i = 0; wanted[which][i]; i++)
    add(call, NULL, wanted[which][i], values[which][i]);
}

static void
change_photo(GRand *random, const Told *told, Call *call)
{
  static const char *const stages[] = {"before", "during", "after", NULL};
  static const char *const views[] = {"spine", "opening 3", "front board", NULL};
  static const char *const tie_lists[] = {"1,1 2,2\n3,3 4,4\n5,5 6,6\n7,7 8.25,8",
                                          "1,1 2,2\n3,3 4,5\n5,5 6,6\n7,7 8.25,8",
                                          "1,1 2,2\n5,5 6,6\n3,3 4,4\n7,7 8.25,8\n9,9 9,8",
                                          "2,1 2,2\n5,5 6,6\n3,3 4,4\n7,7 8.25,8", NULL};
  switch (roll(random, 9)) {
  case 0:
    add(call, NULL, "caption", roll(random, 3) ? one_of(random, hostile) : NULL);
    return;
  case 1:
    add(call, NULL, "stage", one_of(random, stages));
    return;
  case 2:
    add(call, NULL, "view", one_of(random, views));
    return;
  case 3:
    add_scale(call, told, roll(random, 4));
    return;
  case 4:
    add(call, NULL, "ties", roll(random, 3) ? one_of(random, tie_lists) : NULL);
    return;
  case 5:
    add(call, NULL, "surface", roll(random, 2) ? "0,0 900,0 900.5,900 0,900" : NULL);
    return;
  case 6:
    add(call, NULL, "uncertainty/outline", roll(random, 2) ? "3" : NULL);
    return;
  case 7:
    add(call, NULL, "photo/source", roll(random, 2) ? "studio" : "A: b");
    return;
  default:
    add(call, NULL, "scale/plane-offset", roll(random, 2) ? "0" : NULL);
  }
}

static Call *
random_call(GRand *random, const Told *told)
{
  Call *call = call_new();
  switch (roll(random, 3)) {
  case 0:
    add_new_mark(random, told, call);
    break;
  case 1:
    change_mark(random, told, call);
    break;
  default:
    change_photo(random, told, call);
  }
  return call;
}

/* A text as hands write it: marks in braces or in lines, comments between, any line end. */
static char *
dup_random_text(GRand *random)
{
  g_autoptr(GString) text = g_string_new("format: platewright-photo 1 # what this is\n\n");
  g_string_append(text, roll(random, 2) ? "photo: {size: 1000 x 1000} # px\n"
                                        : "photo:\n    size: 1000 x 1000\n    # taken: ?\n");
  g_string_append(text, "#\ta tab in a comment\nstage:   before   # so\n");
  if (roll(random, 2))
    g_string_append(text, "scale:\n  # a card\n  tags: bench # here\n  plane-offset: 0\n");
  if (roll(random, 2))
    g_string_append(text, "caption: 'it''s so'\n\n# below it\n");
  if (roll(random, 2))
    g_string_append(text,
                    "ties: [{here: \"1,1\", there: \"2,2\"}, {here: \"3,3\", there: \"4,4\"},\n"
                    "       {here: \"5,5\", there: \"6,6\"}, {here: \"7,7\", there: \"8,8\"}]\n");
  const int n = roll(random, MOST_LISTED);
  const gboolean flush = roll(random, 2) != 0;
  if (n > 0)
    g_string_append(text, "marks:\n");
  for (int i = 0; i < n; i++) {
    g_autofree char *square = dup_square(random, i, 10, 0);
    const char *in = flush ? "" : "  ";
    if (roll(random, 2))
      g_string_append_printf(text, "%s- {id: %s, term: loss, outline: \"%s\"} # %d\n", in, ids[i],
                             square, i);
    else
      g_string_append_printf(text,
                             "%s- id: %s # %d\n%s  # inside\n%s  term: tear\n%s  outline: %s\n", in,
                             ids[i], i, in, in, in, square);
    if (roll(random, 3) == 0)
      g_string_append_printf(text, "%s# after %d\n", in, i);
  }
  if (roll(random, 2))
    g_string_append(text, "# the end\n");
  if (roll(random, 3) == 0)
    g_string_truncate(text, text->len - 1);
  if (roll(random, 3) > 0)
    return g_strdup(text->str);
  g_auto(GStrv) lines = g_strsplit(text->str, "\n", -1);
  return g_strjoinv("\r\n", lines);
}

/* ---- Lines that are not concerned -------------------------------------------------- */

/* Whether the line says anything that the call is about: a mark it names, a key it names. */
static gboolean
is_concerned(const Told *told, const Call *call, const char *line, const char *owner)
{
  (void)told;
  for (guint i = 0; i < call->edits->len; i++) {
    const PwSidecarEdit *edit = &g_array_index(call->edits, PwSidecarEdit, i);
    if (g_strcmp0(edit->mark, owner) == 0 && edit->mark)
      return TRUE;
    if (edit->mark || owner)
      continue;
    g_auto(GStrv) steps = g_strsplit(edit->key, "/", -1);
    for (char **step = steps; *step; step++)
      if (strstr(line, *step))
        return TRUE;
  }
  return FALSE;
}

/* The id of the mark that each line belongs to, NULL for lines of the photograph. */
static GPtrArray *
owners_of_lines(const PwYaml *yaml, guint n_lines)
{
  GPtrArray *owners = g_ptr_array_new_with_free_func(g_free);
  g_ptr_array_set_size(owners, (gint)n_lines);
  const PwYamlNode *marks = pw_yaml_node_get(pw_yaml_peek_root(yaml), "marks");
  for (guint i = 0; marks && i < pw_yaml_node_n(marks); i++) {
    const PwYamlNode *mark = pw_yaml_node_item(marks, i);
    guint first, last, column;
    pw_yaml_node_place(yaml, mark, &first, &column);
    pw_yaml_node_place(yaml, pw_yaml_node_value(mark, pw_yaml_node_n(mark) - 1), &last, &column);
    for (guint line = first; line <= last; line++) {
      g_free(owners->pdata[line - 1]);
      owners->pdata[line - 1] = g_strdup(pw_yaml_node_peek_text(pw_yaml_node_get(mark, "id")));
    }
  }
  return owners;
}

/* Every line that is not concerned stands in the new text too, in the same order. */
static void
assert_others_stay(const PwYaml *before, const Told *told, const Call *call, const char *after)
{
  g_auto(GStrv) old = g_strsplit(pw_yaml_peek_text(before, NULL), "\n", -1);
  g_auto(GStrv) now = g_strsplit(after, "\n", -1);
  g_autoptr(GPtrArray) owners = owners_of_lines(before, g_strv_length(old));
  gsize at = 0;
  for (gsize i = 0; old[i]; i++) {
    const gboolean is_list = g_str_has_prefix(old[i], "marks:") ||
                             g_str_has_prefix(old[i], "ties:") || strstr(old[i], "{here") != NULL;
    if (!*old[i] || is_list || is_concerned(told, call, old[i], owners->pdata[i]))
      continue;
    const gboolean is_last = old[i + 1] == NULL; /* may get a line end */
    while (now[at] && !(is_last ? g_str_has_prefix(now[at], old[i]) : g_str_equal(now[at], old[i])))
      at++;
    if (now[at++] == NULL) {
      fprintf(stderr, "the line <%s> has changed:\n%s\nfrom\n%s\n", old[i], after,
              pw_yaml_peek_text(before, NULL));
      fail();
    }
  }
}

/* ---- The property ------------------------------------------------------------------ */

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwYaml *yaml = pw_yaml_parse(text, strlen(text), "a.jpg.yaml", complaints);
  assert_non_null(yaml);
  return yaml;
}

static char *
dup_edited(const char *text, const Call *call)
{
  g_autoptr(PwYaml) yaml = parse(text);
  g_autoptr(GError) error = NULL;
  if (!pw_sidecar_apply(yaml, (const PwSidecarEdit *)(const void *)call->edits->data,
                        call->edits->len, &error)) {
    fprintf(stderr, "%s\nin\n%s\n", error->message, text);
    fail();
  }
  char *edited = g_strdup(pw_yaml_peek_text(yaml, NULL));
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwSidecar) read = pw_sidecar_take_yaml(parse(edited), "a.jpg", complaints);
  (void)read;
  if (pw_complaints_count(complaints, PW_SEVERITY_ERROR) > 0) {
    g_autofree char *all = dup_all_complaints(complaints);
    fprintf(stderr, "%s\nin\n%s\nfrom\n%s\n", all, edited, text);
    fail();
  }
  return edited;
}

static void
assert_same_told(const Told *a, const Told *b, gboolean in_order, const char *text)
{
  g_autofree char *x = dup_told(a, in_order), *y = dup_told(b, in_order);
  if (g_str_equal(x, y))
    return;
  fprintf(stderr, "got\n%s\nnot\n%s\nin\n%s\n", x, y, text); /* longer than cmocka prints */
  fail();
}

/* One call; the text that comes of it. */
static char *
dup_after_one(GRand *random, const char *text)
{
  g_autoptr(PwYaml) before = parse(text);
  g_autoptr(Told) was = told_by(before), wanted = told_by(before);
  g_autoptr(Call) call = random_call(random, was);
  for (guint i = 0; i < call->edits->len; i++)
    tell_edit(wanted, &g_array_index(call->edits, PwSidecarEdit, i));
  g_autofree char *edited = dup_edited(text, call);
  g_autoptr(PwYaml) after = parse(edited);
  g_autoptr(Told) is = told_by(after);
  assert_same_told(is, wanted, TRUE, edited);
  assert_others_stay(before, was, call, edited);
  if (strstr(text, "\r\n"))
    for (const char *at = edited; (at = strchr(at, '\n')); at++)
      assert_true(at[-1] == '\r');
  g_autoptr(Call) back = way_between(is, was);
  g_autofree char *undone = dup_edited(edited, back);
  g_autoptr(PwYaml) again = parse(undone);
  g_autoptr(Told) once_more = told_by(again);
  assert_same_told(once_more, was, FALSE, undone);
  return g_steal_pointer(&edited);
}

static void
any_edits_of_any_sidecar(void **state)
{
  (void)state;
  GRand *random = g_rand_new_with_seed(SEED);
  for (int i = 0; i < TEXTS; i++) {
    g_autofree char *text = dup_random_text(random);
    for (int j = 0; j < EDITS; j++) {
      char *next = dup_after_one(random, text);
      g_free(text);
      text = next;
    }
  }
  g_rand_free(random);
  print_message("# %d texts, %d edits each\n", TEXTS, EDITS);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(any_edits_of_any_sidecar)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
