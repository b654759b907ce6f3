/* The pieces of an edit, in the order in which they are used: the rows that its key leads to, its
 * place in the text, its values as text.
 */
#ifndef PW_RECORD_EDIT_PLAN_H
#define PW_RECORD_EDIT_PLAN_H

#include "edit.h"

/* One edit and the rows that it leads to. */
typedef struct {
  const PwEdit *edit;
  const PwField *list;  /* the row that holds the entry; NULL: the key is the text's own */
  const PwTable *above; /* the nested table that holds `field`; NULL: it is on the first level */
  const PwField *field; /* NULL: the whole entry, or a name under a mapping of figures */
  char *list_path;      /* of `list`, from the root */
  char *path;           /* of the key, from its entry or from the root */
  char *parent;         /* the same without its last step; NULL on the first level */
  gboolean is_done;
} PwPlanned;

typedef struct {
  PwYaml *yaml;
  const PwTable *table;
  GArray *all; /* PwPlanned */
} PwPlan;

/* ---- edit_plan.c */
gboolean pw_plan_init(PwPlan *plan, PwYaml *yaml, const PwTable *table, const PwEdit *edits,
                      gsize n, GError **error);
void pw_plan_clear(PwPlan *plan);
PwPlanned *pw_plan_at(const PwPlan *plan, guint i);
gboolean pw_planned_takes_away(const PwPlanned *planned);
gboolean pw_planned_is_same_entry(const PwPlanned *a, const PwPlanned *b);
/* Whether its entry is called by its place, which others change when they go. */
gboolean pw_planned_is_by_place(const PwPlanned *planned);

/* ---- edit_place.c */
/* What is stated under the key of a mapping; NULL also where there is no mapping. */
const PwYamlNode *pw_stated(const PwYamlNode *mapping, const char *key);
/* From one node down the path of an edit's key; NULL where it does not lead. */
const PwYamlNode *pw_node_below(const PwYamlNode *node, const char *key);
/* The path of the edit's entry, yours, and its node; NULL where it is new. FALSE where two bear its
 * id, or where none stands at its place. */
gboolean pw_plan_find_entry(const PwPlan *plan, const PwPlanned *planned, char **path,
                            const PwYamlNode **entry, GError **error);
/* The mapping that the edit's key belongs to: its entry, or the root; NULL where it is not there.
 */
const PwYamlNode *pw_plan_peek_mapping(const PwPlan *plan, const PwPlanned *planned);

/* ---- edit_value.c: `field` may be NULL: a figure */
PwYamlStyle pw_style_of(const PwField *field, const char *value);
/* A value as it is written: points with two decimals at most. */
char *pw_dup_text_of(const PwField *field, const char *value);
/* One item of a list, and a whole value, as flow text. */
char *pw_dup_item_flow(const PwField *field, const char *value);
char *pw_dup_value_flow(const PwField *field, const char *const *values);
/* Whether an item of a list says the value already. */
gboolean pw_item_says(const PwField *field, const PwYamlNode *item, const char *value);
/* Whether entries of the table are points and nothing else: written as "x,y x,y". */
gboolean pw_holds_points_only(const PwTable *table);
gboolean pw_is_single(const PwField *field, const char *const *values);

/* ---- edit_set.c: what is put in */
gboolean pw_plan_set_key(const PwPlan *plan, guint i, const char *entry_path, GError **error);
/* An entry is there after all edits of it: written whole, its keys in their usual order. */
gboolean pw_plan_add_entry(const PwPlan *plan, guint i, GError **error);

#endif
