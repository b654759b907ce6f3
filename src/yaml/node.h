/* The tree behind the public types, and the pieces that this folder shares.
 *
 * Every position is a byte of the text as it stands. Of a node, [start, end) are its own bytes:
 * quotes, brackets and the header of a block scalar included, comments and line ends after it not.
 * What libyaml says of ends is not used where it runs on (block collections, block scalars). */
#ifndef PW_YAML_NODE_H
#define PW_YAML_NODE_H

#include <platewright/yaml.h>

typedef enum {
  PW_YAML_PLAIN,  /* a scalar without quotes, or a missing one */
  PW_YAML_QUOTED, /* single or double */
  PW_YAML_BLOCK,  /* a literal or folded scalar; a collection by indentation */
  PW_YAML_FLOW    /* a collection in brackets; a pair inside [ ] without braces too */
} PwYamlForm;

struct PwYamlNode {
  PwYamlKind kind;
  PwYamlForm form;
  gboolean cut;
  char *text;          /* a scalar's; else NULL */
  GPtrArray *children; /* a sequence's items; a mapping's key, value, key, value ...; else NULL */
  gsize start, end;
  gsize lead; /* of a mapping's value: behind its colon; of a block sequence's item: its dash */
};

struct PwYaml {
  char *text; /* `length` bytes and two NULs */
  gsize length;
  char *file; /* for complaints */
  char *path; /* where it was opened, or NULL */
  PwFileState state;
  GArray *line_starts; /* guint32 */
  PwYamlNode *root;
  struct PwYamlEdit *gathered; /* NULL: edits are made one by one */
};

/* ---- node.c */
PwYamlNode *pw_yaml_node_new_scalar(const char *text, PwYamlForm form);
PwYamlNode *pw_yaml_node_new_collection(PwYamlKind kind, PwYamlForm form);
void pw_yaml_node_free(PwYamlNode *node);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwYamlNode, pw_yaml_node_free)
/* A copy in depth; its positions are those of the original. */
PwYamlNode *pw_yaml_node_dup(const PwYamlNode *node);
/* Same kinds, texts, keys and order; how they are written does not matter. */
gboolean pw_yaml_node_equal(const PwYamlNode *a, const PwYamlNode *b);
PwYamlNode *pw_yaml_node_child(const PwYamlNode *node, guint i);
/* The place of `key` among the pairs of a mapping, or -1. */
int pw_yaml_node_find(const PwYamlNode *mapping, const char *key);
/* A scalar that is not there: `key:` and nothing behind. */
gboolean pw_yaml_node_is_missing(const PwYamlNode *node);

/* ---- place.c */
GArray *pw_yaml_find_lines(const char *text, gsize length);
/* The first byte of the line that `at` is on; the byte behind its last, before the line end. */
gsize pw_yaml_line_start(const PwYaml *yaml, gsize at);
gsize pw_yaml_line_end(const PwYaml *yaml, gsize at);
/* Behind the line end, or the end of the text. */
gsize pw_yaml_next_line(const PwYaml *yaml, gsize at);
/* The bytes of a byte order mark at the beginning of the text: 3 or 0. */
gsize pw_yaml_bom(const PwYaml *yaml);
/* Past spaces and tabs; past these, line ends and comments. */
gsize pw_yaml_skip_blanks(const PwYaml *yaml, gsize at);
gsize pw_yaml_skip_to_token(const PwYaml *yaml, gsize at);
void pw_yaml_complain_at_byte(const PwYaml *yaml, gsize at, PwComplaints *complaints,
                              const char *kind, PwSeverity severity, const char *format, ...)
    G_GNUC_PRINTF(6, 7);

/* ---- characters.c */
/* FALSE, and complained, when the text is not UTF-8 or holds what a text must not. */
gboolean pw_yaml_check_characters(const PwYaml *yaml, PwComplaints *complaints);

/* ---- syntax.c */
/* Plain words for a problem of libyaml's; `first` is the byte where it was found. `at_context`:
 * the place to show is where the construct begins, not where it broke. */
const char *pw_yaml_words_for_problem(const char *problem, char first, gboolean *at_context);

/* ---- quote.c */
/* `text` as a scalar that reads back: plain where it can be and `style` lets it, else quoted. */
char *pw_yaml_dup_scalar(const char *text, PwYamlStyle style, gboolean in_flow);
char *pw_yaml_dup_key(const char *text, gboolean in_flow);

/* ---- path.c */
typedef struct {
  char *key; /* NULL for an item */
  guint item;
} PwYamlStep;
/* The steps of a path (of PwYamlStep), or NULL. */
GArray *pw_yaml_path_parse(const char *path, GError **error);

#endif
