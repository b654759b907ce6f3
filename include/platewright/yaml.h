/* YAML: text to nodes that know their place, complaints at a place, edits that touch nothing else.
 *
 * One document of UTF-8 YAML 1.2, scalars taken as text. Tags, anchors, aliases, merge keys, keys
 * given twice, a second document, NUL, invalid UTF-8, more than PW_LIMIT_TEXT_BYTES or
 * PW_LIMIT_DEPTH are complained of. Bytes, lines and columns are those of the text as it stands.
 */
#ifndef PLATEWRIGHT_YAML_H
#define PLATEWRIGHT_YAML_H

#include <platewright/base.h>

PW_BEGIN_DECLS

typedef enum { PW_YAML_SCALAR, PW_YAML_SEQUENCE, PW_YAML_MAPPING } PwYamlKind;
typedef struct PwYaml PwYaml;         /* one text and its nodes */
typedef struct PwYamlNode PwYamlNode; /* lives as long as its PwYaml, and until an edit */

/* Parses `text` of `length` bytes (copied). `file` is the name for complaints. NULL when the text
 * is not one YAML document we read; what is wrong has then been added to `complaints`. An empty
 * document is an empty mapping. */
PwYaml *pw_yaml_parse(const char *text, gsize length, const char *file, PwComplaints *complaints);
/* Reads the file and remembers its state, which pw_yaml_save compares. `name` is the name for
 * complaints. NULL and a GError if it cannot be read, NULL and complaints if it cannot be parsed
 * (the GError then stays unset). */
PwYaml *pw_yaml_open(const char *path, const char *name, PwComplaints *complaints, GError **error);
void pw_yaml_free(PwYaml *yaml);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwYaml, pw_yaml_free)

const PwYamlNode *pw_yaml_peek_root(const PwYaml *yaml);
const char *pw_yaml_peek_file(const PwYaml *yaml);
/* Of the file when it was read or last saved; NULL for a text that was not opened from a file. */
const PwFileState *pw_yaml_peek_state(const PwYaml *yaml);
const char *pw_yaml_peek_text(const PwYaml *yaml, gsize *length);
/* What tells one state of a text from another: the first PW_TAG_DIGITS hexadecimal digits of its
 * sha256. Yours. */
enum { PW_TAG_DIGITS = 32 };
char *pw_yaml_dup_tag(const PwYaml *yaml);

PwYamlKind pw_yaml_node_kind(const PwYamlNode *node);
/* A scalar's text as YAML reads it; NULL for other kinds. */
const char *pw_yaml_node_peek_text(const PwYamlNode *node);
gboolean pw_yaml_node_is_plain(const PwYamlNode *node); /* written without quotes, not a block */
/* A plain or missing scalar that something was cut from by "# ..." on its line, or an empty value
 * in a flow mapping. Behind a word a comment is welcome; free text and paths must be quoted
 * then. */
gboolean pw_yaml_node_is_cut(const PwYamlNode *node);
guint pw_yaml_node_n(const PwYamlNode *node); /* items of a sequence, pairs of a mapping */
const PwYamlNode *pw_yaml_node_item(const PwYamlNode *node, guint i);  /* sequence */
const PwYamlNode *pw_yaml_node_key(const PwYamlNode *node, guint i);   /* mapping */
const PwYamlNode *pw_yaml_node_value(const PwYamlNode *node, guint i); /* mapping */
const PwYamlNode *pw_yaml_node_get(const PwYamlNode *mapping, const char *key); /* or NULL */

/* Complains at the node's first character. */
void pw_yaml_complain(const PwYaml *yaml, const PwYamlNode *node, PwComplaints *complaints,
                      const char *kind, PwSeverity severity, const char *format, ...)
    G_GNUC_PRINTF(6, 7);
/* Complains at byte `offset` of a scalar's content (an x in a list of points). Exact for plain
 * and quoted scalars on one line, the node's start otherwise. */
void pw_yaml_complain_at(const PwYaml *yaml, const PwYamlNode *scalar, gsize offset,
                         PwComplaints *complaints, const char *kind, PwSeverity severity,
                         const char *format, ...) G_GNUC_PRINTF(7, 8);
/* The line and column (from 1, in characters) of a node's first character. */
void pw_yaml_node_place(const PwYaml *yaml, const PwYamlNode *node, guint *line, guint *column);

/* ---- Edits: every byte that is not changed stays as it is -------------------------- */

/* How a new scalar is written: prose is always double-quoted. */
typedef enum { PW_YAML_AS_WORD, PW_YAML_AS_PROSE } PwYamlStyle;
/* Paths name a place from the root: keys, and [N] for items (from 0), joined by "/":
 * "marks/[2]/note". A key may hold any text; "\/", "\[" and "\\" stand for "/", "[" and "\" in it.
 * Missing mappings along a path are made. A path that is none is PW_ERROR_USE; an edit that the
 * text cannot take without a change elsewhere is PW_ERROR_RECORD, and nothing has changed. All
 * nodes handed out before a successful edit are gone. */
/* A word is written plain where that reads back, else quoted. A scalar that says `value` already,
 * uncut, is left as it is written. */
gboolean pw_yaml_set(PwYaml *yaml, const char *path, const char *value, PwYamlStyle style,
                     GError **error);
/* Sets a whole value given as YAML text on one line (a flow mapping or sequence). */
gboolean pw_yaml_set_flow(PwYaml *yaml, const char *path, const char *flow, GError **error);
/* Appends a value given as flow text to the sequence at `path`, made if missing. */
gboolean pw_yaml_append(PwYaml *yaml, const char *path, const char *flow, GError **error);
/* One pair of a new mapping, its value given as flow text. */
typedef struct {
  const char *key;
  const char *flow;
} PwYamlPair;
/* How an item of pairs is written in a sequence of lines: a pair a line, or as the last item there
 * is, in braces on one line where that is or where there is none. */
typedef enum { PW_YAML_A_PAIR_A_LINE, PW_YAML_LIKE_THE_LAST } PwYamlManner;
/* Appends a mapping of n pairs, at least one, to the sequence at `path`, made if missing. To a
 * sequence in brackets it goes in braces, save to an empty one: that gives way to lines. */
gboolean pw_yaml_append_pairs(PwYaml *yaml, const char *path, const PwYamlPair *pairs, gsize n,
                              PwYamlManner manner, GError **error);
/* Removes the pair or item, with the comment at the end of its line. Refused where a comment below
 * would become part of a block of text above. */
gboolean pw_yaml_remove(PwYaml *yaml, const char *path, GError **error);
/* From now on edits are gathered. None sees what the others do: each must be of another item of a
 * list. */
void pw_yaml_gather(PwYaml *yaml);
/* Makes what was gathered one edit, that is read back once, or without `keep` forgets it. FALSE: as
 * of any edit, and nothing has changed. */
gboolean pw_yaml_settle(PwYaml *yaml, gboolean keep, GError **error);
/* `text` as a double-quoted scalar; yours. */
char *pw_yaml_dup_quoted(const char *text);
/* `text` as a scalar of flow text, prose double-quoted, a word only where it must be; yours. */
char *pw_yaml_dup_flow(const char *text, PwYamlStyle style);
/* `key` as one step of a path, what would read as another escaped; yours. */
char *pw_yaml_dup_step(const char *key);
/* Writes the text back whole, refused (PW_ERROR_STALE) when the file changed since it was opened.
 * After a success the PwYaml goes on with the new state. */
gboolean pw_yaml_save(PwYaml *yaml, GError **error);

PW_END_DECLS
#endif
