/* The pieces of an edit in place, in the order in which they are used: where the path leads, what
 * the tree must become, what is spliced to make it so. */
#ifndef PW_YAML_EDIT_H
#define PW_YAML_EDIT_H

#include "node.h"
#include "splice.h"

/* How far a path leads into the tree. */
typedef struct {
  const PwYamlNode *node;   /* the last node on the way */
  const PwYamlNode *parent; /* what holds it; NULL for the root */
  guint place;              /* of `node` in its parent: item or pair */
  guint n_taken;            /* steps of the path that led to it */
  gboolean in_flow;         /* `node` lies in brackets or is in brackets itself */
} PwYamlFound;

/* What is put in: `text` as a value, or as the one item of a list where there is none yet. An item
 * of pairs begins a list in lines, and is written as `pairs` there where it is not on one line. */
typedef struct {
  const char *text;
  gboolean as_list, on_one_line;
  const PwYamlPair *pairs;
  gsize n_pairs;
} PwYamlContent;

/* ---- follow.c */
const PwYamlStep *pw_yaml_step_at(const GArray *steps, guint i);
/* Follows the path as far as it leads; FALSE with an error when it cannot lead on: what is missing
 * must be keys. */
gboolean pw_yaml_follow(const PwYamlEdit *edit, const PwYaml *yaml, const GArray *steps,
                        PwYamlFound *found, GError **error);

/* ---- expect.c */
/* The expected tree takes `wanted`, which is used up, at the end of the path. */
void pw_yaml_expect(PwYamlEdit *edit, const GArray *steps, PwYamlNode *wanted, gboolean as_list);
void pw_yaml_expect_removed(PwYamlEdit *edit, const GArray *steps);

/* ---- habit.c */
/* The line end used nearest to `at`. */
const char *pw_yaml_line_end_near(const PwYaml *yaml, gsize at);
/* The column, from 0, in which a block collection stands. */
guint pw_yaml_column_of(const PwYaml *yaml, const PwYamlNode *node);
/* By how much block collections of `kind` are moved in under their keys. */
guint pw_yaml_step_for(const PwYaml *yaml, PwYamlKind kind);
gboolean pw_yaml_is_first_on_line(const PwYaml *yaml, gsize at);

/* ---- insert.c */
/* Inserts what is missing of the path, and the content at its end. */
void pw_yaml_insert(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                    const GArray *steps, const PwYamlContent *content);
void pw_yaml_append_item(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                         const PwYamlContent *content);

/* ---- replace.c */
/* Writes `text` where the node found stands. */
void pw_yaml_replace(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                     const char *text);

/* ---- remove.c */
/* Removes the pair or item found; it must not be the root. */
void pw_yaml_remove_entry(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                          const GArray *steps);

#endif
