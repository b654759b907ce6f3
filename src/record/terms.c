/* The trade's words: styles/terms.yaml, and a volume's own terms.yaml over it.
 *
 * A word is looked up among names before synonyms, and among the volume's own before ours.
 */
#include "values.h"

#include <string.h>

/* One entry as it is read: the term, and what only reading needs. */
typedef struct {
  const PwYamlNode *node;
  PwTerm term;
  char **as;
} TermEntry;

typedef struct {
  PwYaml *yaml;
  TermEntry *entries;
  gsize n;
} TermText;

struct PwTerms {
  TermText ours, own;
  GPtrArray *terms;    /* PwTerm, not owned: ours that are not replaced, then the volume's own */
  GHashTable *by_word; /* words to PwTerm, neither owned */
  GPtrArray *words;    /* all of them, none owned, NULL last */
};

static const char *const groups[] = {"missing", "parted", "worn",  "stained", "distorted",
                                     "living",  "added",  "noted", NULL};

/* ---- One text ---------------------------------------------------------------------- */

static void
check_term(const PwReading *reading, const PwYamlNode *node, void *record)
{
  TermEntry *entry = record;
  const struct {
    const char *word;
    gboolean *may;
  } kinds[] = {{"area", &entry->term.as_area},
               {"line", &entry->term.as_line},
               {"point", &entry->term.as_point}};
  for (gsize i = 0; entry->as != NULL && entry->as[i] != NULL; i++) {
    gboolean known = FALSE;
    for (gsize k = 0; k < G_N_ELEMENTS(kinds); k++)
      if (strcmp(entry->as[i], kinds[k].word) == 0)
        known = *kinds[k].may = TRUE;
    if (!known)
      pw_fault(reading, pw_given(node, "as"), "unknown word",
               "a term is drawn as area, line or point; write one or more of these");
  }
}

#define AT(member) offsetof(TermEntry, member)
static const PwField term_fields[] = {
    {.key = "term", .type = &pw_value_word, .at = AT(term.name), .required = TRUE},
    {.key = "synonyms", .type = &pw_value_words, .at = AT(term.synonyms)},
    {.key = "parts", .type = &pw_value_words, .at = AT(term.parts)},
    {.key = "as", .type = &pw_value_words, .at = AT(as), .required = TRUE},
    {.key = "group",
     .type = &pw_value_choice,
     .at = AT(term.group),
     .of = groups,
     .required = TRUE},
    {.key = "meaning", .type = &pw_value_prose, .at = AT(term.meaning), .required = TRUE},
    {.key = "caution", .type = &pw_value_prose, .at = AT(term.caution)},
    {.key = "caution-for-owner", .type = &pw_value_prose, .at = AT(term.caution_for_owner)},
    {.key = "ends-when-gone", .type = &pw_value_flag, .at = AT(term.ends_when_gone)},
    {.key = "source", .type = &pw_value_prose, .at = AT(term.source)},
};
#undef AT
static const PwTable term_table = {.what = "a term",
                                   .fields = term_fields,
                                   .n_fields = G_N_ELEMENTS(term_fields),
                                   .size = sizeof(TermEntry),
                                   .keeps_node = TRUE,
                                   .unique = "term",
                                   .check = check_term};

/* A synonym that is another term's name or synonym could not be told apart. */
static void
check_words(const PwReading *reading, const PwYamlNode *root, void *record)
{
  (void)root;
  const TermText *text = record;
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  for (gsize i = 0; i < text->n; i++)
    if (text->entries[i].term.name != NULL)
      g_hash_table_add(seen, text->entries[i].term.name);
  for (gsize i = 0; i < text->n; i++) {
    const TermEntry *entry = &text->entries[i];
    for (char **word = entry->term.synonyms; word != NULL && *word != NULL; word++) {
      g_autofree char *shown = pw_dup_shown(*word);
      if (!g_hash_table_add(seen, *word))
        pw_fault(reading, pw_given(entry->node, "synonyms"), "given twice",
                 "%s is a term or synonym already; take it away here", shown);
    }
  }
}

#define AT(member) offsetof(TermText, member)
static const PwField terms_fields[] = {
    {.key = "format", .type = &pw_value_format, .required = TRUE},
    {.key = "terms",
     .type = &pw_value_list,
     .at = AT(entries),
     .also = AT(n),
     .of = &term_table,
     .required = TRUE},
};
#undef AT
const PwTable pw_terms_table = {.what = "terms.yaml",
                                .fields = terms_fields,
                                .n_fields = G_N_ELEMENTS(terms_fields),
                                .size = sizeof(TermText),
                                .check = check_words};

static gboolean
read_text(TermText *text, const char *path, PwComplaints *complaints, GError **error)
{
  g_autofree char *name = g_path_get_basename(path);
  text->yaml = pw_yaml_open(path, name, complaints, error);
  if (text->yaml == NULL)
    return FALSE;
  PwReading reading;
  if (pw_reading_begin(&reading, text->yaml, "platewright-terms", complaints))
    pw_table_read(&reading, &pw_terms_table, pw_yaml_peek_root(text->yaml), text);
  return TRUE;
}

static void
clear_text(TermText *text)
{
  pw_table_clear(&pw_terms_table, text);
  pw_yaml_free(text->yaml);
}

/* ---- Both together ----------------------------------------------------------------- */

static void
enter_word(PwTerms *terms, char *word, PwTerm *term)
{
  if (g_hash_table_contains(terms->by_word, word))
    return;
  g_hash_table_insert(terms->by_word, word, term);
  g_ptr_array_add(terms->words, word);
}

static void
enter_names(PwTerms *terms, TermText *text)
{
  for (gsize i = 0; i < text->n; i++) {
    PwTerm *term = &text->entries[i].term;
    term->is_own = text == &terms->own;
    if (term->name == NULL || g_hash_table_contains(terms->by_word, term->name))
      continue; /* faulty, or replaced by the volume's own */
    enter_word(terms, term->name, term);
    g_ptr_array_add(terms->terms, term);
  }
}

static void
enter_synonyms(PwTerms *terms, TermText *text)
{
  for (gsize i = 0; i < text->n; i++) {
    PwTerm *term = &text->entries[i].term;
    if (term->name == NULL || g_hash_table_lookup(terms->by_word, term->name) != term)
      continue;
    for (char **word = term->synonyms; word != NULL && *word != NULL; word++)
      enter_word(terms, *word, term);
  }
}

static void
index_words(PwTerms *terms)
{
  terms->terms = g_ptr_array_new();
  terms->by_word = g_hash_table_new(g_str_hash, g_str_equal);
  terms->words = g_ptr_array_new();
  enter_names(terms, &terms->own);
  enter_synonyms(terms, &terms->own);
  enter_names(terms, &terms->ours);
  enter_synonyms(terms, &terms->ours);
  g_ptr_array_add(terms->words, NULL);
}

PwTerms *
pw_terms_read(const char *path, const char *own, PwComplaints *complaints, GError **error)
{
  g_autoptr(PwTerms) terms = g_new0(PwTerms, 1);
  if (!read_text(&terms->ours, path, complaints, error))
    return NULL;
  GError *failed = NULL;
  if (own != NULL && !read_text(&terms->own, own, complaints, &failed) && failed != NULL) {
    g_propagate_error(error, failed);
    return NULL;
  }
  index_words(terms);
  return g_steal_pointer(&terms);
}

void
pw_terms_free(PwTerms *terms)
{
  if (terms == NULL)
    return;
  g_clear_pointer(&terms->terms, g_ptr_array_unref);
  g_clear_pointer(&terms->by_word, g_hash_table_unref);
  g_clear_pointer(&terms->words, g_ptr_array_unref);
  clear_text(&terms->ours);
  clear_text(&terms->own);
  g_free(terms);
}

const PwTerm *
pw_terms_find(const PwTerms *terms, const char *word)
{
  return g_hash_table_lookup(terms->by_word, word);
}

const char *
pw_terms_nearest(const PwTerms *terms, const char *word)
{
  return pw_nearest_word(word, (const char *const *)terms->words->pdata);
}

guint
pw_terms_n(const PwTerms *terms)
{
  return terms->terms->len;
}

const PwTerm *
pw_terms_peek(const PwTerms *terms, guint i)
{
  return g_ptr_array_index(terms->terms, i);
}
