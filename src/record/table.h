/* Tables: what a mapping of the record may hold, one row a key, and the one function that walks
 * them. Adding a key is adding a row; adding a kind of value is adding a PwValueType.
 *
 * A row names a member of a struct by its offset, so that the same rows prepare the struct, fill it
 * and free it. A nested mapping may share its parent's struct (offset 0) or have its own.
 */
#ifndef PW_RECORD_TABLE_H
#define PW_RECORD_TABLE_H

#include <platewright/record.h>
#include <stddef.h>

/* What is being read, and where its faults go. */
typedef struct {
  const PwYaml *yaml;
  PwComplaints *complaints;
  gboolean later_minor; /* written by a later 1.N: keys we do not know are kept, with a warning */
} PwReading;

/* Complains at the node's first character. `kind` is static. */
void pw_fault(const PwReading *reading, const PwYamlNode *node, const char *kind,
              const char *format, ...) G_GNUC_PRINTF(4, 5);
void pw_warn(const PwReading *reading, const PwYamlNode *node, const char *kind, const char *format,
             ...) G_GNUC_PRINTF(4, 5);
/* A value as a message shows it: in quotes, printable, shortened. Yours. */
char *pw_dup_shown(const char *text);
/* ", did you mean "x"?" where one of `words` is near, else "; write one of: a, b, c". Yours. */
char *pw_dup_advice(const char *word, const char *const *words);

typedef struct PwField PwField;
typedef struct PwTable PwTable;

/* How a value stands in the text. What holds keys or a list says nothing when it is left empty,
 * also before a comment. */
typedef enum {
  PW_SHAPE_TEXT,
  PW_SHAPE_TEXTS,   /* one text, or a list of them */
  PW_SHAPE_LIST,    /* a list of texts, or of lists */
  PW_SHAPE_KEYS,    /* a mapping, by the table `of` */
  PW_SHAPE_ENTRIES, /* a list of mappings, by the table `of` */
  PW_SHAPE_NAMED    /* a mapping by names */
} PwShapeOfValue;

typedef struct {
  const char *name; /* what messages ask for */
  PwShapeOfValue shape;
  gboolean is_prose; /* its texts are written in quotes: a comment behind them would cut them */
  void (*init)(const PwField *field, void *record); /* NULL: zero bytes say "not said" */
  void (*read)(const PwReading *reading, const PwField *field, const PwYamlNode *node,
               void *record);
  void (*clear)(const PwField *field, void *record); /* NULL: nothing to free */
} PwValueType;

typedef struct {
  double least, most;
  gboolean more_than_least; /* `least` itself is outside */
  const char *words;        /* "more than 0" */
} PwRange;

/* A word and the enumerator it stands for; lists end with a NULL word. */
typedef struct {
  const char *word;
  int value;
} PwWord;

struct PwField {
  const char *key;
  const PwValueType *type;
  gsize at;       /* the member's offset */
  gsize also;     /* of the member that goes with it: a list's count, a size's height */
  const void *of; /* PwTable of a mapping or list, PwWord[] of an enumeration, words of a choice */
  const PwRange *range; /* of a number */
  int otherwise;        /* of an integer or enumeration: when the key is left out */
  gboolean required;
  gboolean is_fixed; /* said once, at intake: no edit changes it */
};

struct PwTable {
  const char *what; /* "a mark": what messages call the mapping */
  const PwField *fields;
  gsize n_fields;
  gsize size;          /* of the struct, where the table makes entries of a list */
  gboolean keeps_node; /* the struct's first member is its `node` */
  gsize name_at;       /* entries of a mapping by name: the member that takes the name */
  const char *unique;  /* entries of a list: the key that may not be given twice */
  /* What no row can say; called after the rows, also when some of them failed. */
  void (*check)(const PwReading *reading, const PwYamlNode *node, void *record);
};

/* Sets the struct, zeroed by the caller, to "not said" in every member that rows know. */
void pw_table_init(const PwTable *table, void *record);
void pw_table_read(const PwReading *reading, const PwTable *table, const PwYamlNode *node,
                   void *record);
void pw_table_clear(const PwTable *table, void *record);

const PwField *pw_table_find(const PwTable *table, const char *key);

/* A key of the mapping that has a value; NULL where there is none or it is left empty. */
const PwYamlNode *pw_given(const PwYamlNode *mapping, const char *key);
/* A scalar left empty, without quotes: `note:` and nothing after it. */
gboolean pw_is_empty(const PwYamlNode *node);

/* Opens a text of the record, and judges its `format:` line: "FORMAT 1", or "FORMAT 1.N" read with
 * later_minor. FALSE with a complaint, and nothing to read, for any other. `reading` is filled,
 * its yaml being `yaml`. */
gboolean pw_reading_begin(PwReading *reading, const PwYaml *yaml, const char *format,
                          PwComplaints *complaints);

/* The whole record, for reading and for the test that compares them with docs/formats.md. */
extern const PwTable pw_sidecar_table;
extern const PwTable pw_volume_table;
extern const PwTable pw_terms_table;
extern const PwTable pw_care_table;

#endif
