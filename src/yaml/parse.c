/* From text to nodes, by libyaml's events.
 *
 * libyaml does the grammar; what it lets through and a record must not hold is complained of here:
 * tags, anchors and aliases, merge keys, keys given twice, collections as keys, words that a comma
 * or a missing colon cuts off. Its marks count characters, and the ends it gives for block
 * collections and block scalars run on to the next token; both are put right here. */
#include "node.h"

#include <string.h>
#include <yaml.h>

/* Faults told of one text that cannot be read anyway. */
enum { FAULTS_MAX = 100 };

typedef struct {
  PwYaml *yaml;
  PwComplaints *complaints;
  yaml_parser_t parser;
  GPtrArray *open; /* collections begun, the innermost last; not owned */
  GPtrArray *keys; /* for each of them the keys so far (GTree), NULL for a sequence */
  guint n_documents;
  guint n_faults;
  gsize index, byte; /* the same place in characters and in bytes */
} Parsing;

/* ---- Marks */

static gboolean
continues_character(char byte)
{
  return ((guchar)byte & 0xC0) == 0x80;
}

/* The byte of a mark. Marks come nearly in order, so one cursor walks to each from the last. */
static gsize
byte_of(Parsing *parsing, yaml_mark_t mark)
{
  const PwYaml *yaml = parsing->yaml;
  while (parsing->index < mark.index && parsing->byte < yaml->length) {
    parsing->byte = (gsize)(pw_next_char(yaml->text + parsing->byte) - yaml->text);
    parsing->index++;
  }
  while (parsing->index > mark.index) {
    do
      parsing->byte--;
    while (continues_character(yaml->text[parsing->byte]));
    parsing->index--;
  }
  return parsing->byte;
}

static void G_GNUC_PRINTF(4, 5)
    complain(Parsing *parsing, gsize at, const char *kind, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *says = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  pw_yaml_complain_at_byte(parsing->yaml, at, parsing->complaints, kind, PW_SEVERITY_ERROR, "%s",
                           says);
  parsing->n_faults++;
}

/* ---- Nodes put right when they are whole */

static gboolean
is_in_flow_mapping(const PwYamlNode *parent)
{
  return parent->kind == PW_YAML_MAPPING && parent->form == PW_YAML_FLOW;
}

static void
settle_key(Parsing *parsing, PwYamlNode *key)
{
  if (key->kind != PW_YAML_SCALAR) {
    complain(parsing, key->start, "syntax", "a key must be a word, not a list or keys in braces");
    return;
  }
  if (pw_yaml_node_is_missing(key))
    complain(parsing, key->start, "syntax", "a key is missing before the colon");
  else if (key->form == PW_YAML_PLAIN && g_str_equal(key->text, "<<"))
    complain(parsing, key->start, "merge key", "merge keys (<<) are not read; write the keys out");
  GTree *seen = g_ptr_array_index(parsing->keys, parsing->keys->len - 1);
  if (g_tree_lookup(seen, key->text))
    complain(parsing, key->start, "duplicate key", "\"%s\" is given twice; keep one of them",
             key->text);
  else
    g_tree_insert(seen, key->text, key);
}

/* A missing scalar stands where it would be written. */
static void
place_missing(PwYamlNode *node, gsize at)
{
  if (pw_yaml_node_is_missing(node))
    node->start = node->end = at;
}

static void
settle_value(Parsing *parsing, const PwYamlNode *parent, const PwYamlNode *key, PwYamlNode *value)
{
  const PwYaml *yaml = parsing->yaml;
  const gsize colon = pw_yaml_skip_blanks(yaml, key->end);
  const gboolean has_colon = colon < yaml->length && yaml->text[colon] == ':';
  value->lead = has_colon ? colon + 1 : key->end;
  place_missing(value, value->lead);
  if (pw_yaml_node_is_missing(value) && is_in_flow_mapping(parent))
    value->cut = TRUE;
  if (has_colon || key->kind != PW_YAML_SCALAR)
    return;
  if (parent->form == PW_YAML_FLOW)
    complain(parsing, key->start, "cut text",
             "\"%s\" has no value: a comma ends unquoted words inside braces; put the whole text "
             "in quotes, and write decimals with a point",
             key->text);
  else
    complain(parsing, key->start, "syntax", "write a key and its value as KEY: VALUE");
}

static void
settle_item(Parsing *parsing, const PwYamlNode *parent, PwYamlNode *item)
{
  if (parent->form == PW_YAML_FLOW) {
    item->lead = item->start;
    return;
  }
  const guint n = parent->children->len;
  const gsize from = n > 1 ? pw_yaml_node_child(parent, n - 2)->end : parent->start;
  item->lead = pw_yaml_skip_to_token(parsing->yaml, from);
  place_missing(item, MIN(item->lead + 1, parsing->yaml->length));
}

/* "lost # 2 boards": YAML takes what follows the blank for a comment. */
static gboolean
comment_follows(const PwYaml *yaml, const PwYamlNode *scalar)
{
  const gsize at = pw_yaml_skip_blanks(yaml, scalar->end);
  return at < yaml->length && yaml->text[at] == '#';
}

static void
settle(Parsing *parsing, PwYamlNode *node)
{
  if (parsing->open->len > 0) {
    const PwYamlNode *parent = g_ptr_array_index(parsing->open, parsing->open->len - 1);
    const guint n = parent->children->len;
    if (parent->kind == PW_YAML_SEQUENCE)
      settle_item(parsing, parent, node);
    else if (n % 2 == 1)
      settle_key(parsing, node);
    else
      settle_value(parsing, parent, pw_yaml_node_child(parent, n - 2), node);
  }
  if (pw_yaml_node_is_plain(node) && comment_follows(parsing->yaml, node))
    node->cut = TRUE;
}

/* ---- Events */

static void
add_node(Parsing *parsing, PwYamlNode *node)
{
  if (parsing->open->len > 0) {
    const PwYamlNode *parent = g_ptr_array_index(parsing->open, parsing->open->len - 1);
    g_ptr_array_add(parent->children, node);
  } else {
    pw_yaml_node_free(parsing->yaml->root);
    parsing->yaml->root = node;
  }
}

static void
refuse_properties(Parsing *parsing, gsize at, const yaml_char_t *anchor, const yaml_char_t *tag)
{
  if (anchor)
    complain(parsing, at, "alias",
             "anchors (&%s) are not read; put a text that begins with & in "
             "quotes",
             (const char *)anchor);
  if (tag)
    complain(parsing, at, "tag", "tags (%s) are not read; put a text that begins with ! in quotes",
             (const char *)tag);
}

/* The end of a block scalar: of its last line that is not blank; where the header says "keep" (+),
 * of its last line, the line end of which then belongs to what follows. */
static gsize
block_scalar_end(const PwYaml *yaml, gsize start, gsize end)
{
  const gsize header_end = pw_yaml_line_end(yaml, start);
  const gsize header_word_end = start + strcspn(yaml->text + start, " \t\r\n");
  const gboolean keeps = memchr(yaml->text + start, '+', header_word_end - start) != NULL;
  if (keeps && end > header_end && yaml->text[end - 1] == '\n')
    end--;
  if (keeps && end > header_end && yaml->text[end - 1] == '\r')
    end--;
  while (!keeps && end > header_end && strchr(" \t\r\n", yaml->text[end - 1]))
    end--;
  return end <= header_end ? header_end : pw_yaml_line_end(yaml, end);
}

static PwYamlForm
form_of_scalar(yaml_scalar_style_t style)
{
  switch (style) {
  case YAML_SINGLE_QUOTED_SCALAR_STYLE:
  case YAML_DOUBLE_QUOTED_SCALAR_STYLE:
    return PW_YAML_QUOTED;
  case YAML_LITERAL_SCALAR_STYLE:
  case YAML_FOLDED_SCALAR_STYLE:
    return PW_YAML_BLOCK;
  default:
    return PW_YAML_PLAIN;
  }
}

static void
take_scalar(Parsing *parsing, const yaml_event_t *event)
{
  const char *text = (const char *)event->data.scalar.value;
  const gsize start = byte_of(parsing, event->start_mark);
  PwYamlNode *node = pw_yaml_node_new_scalar(text, form_of_scalar(event->data.scalar.style));
  node->start = start;
  node->end = byte_of(parsing, event->end_mark);
  if (node->form == PW_YAML_BLOCK)
    node->end = block_scalar_end(parsing->yaml, node->start, node->end);
  refuse_properties(parsing, start, event->data.scalar.anchor, event->data.scalar.tag);
  if (strlen(text) != event->data.scalar.length)
    complain(parsing, start, "encoding", "\\0 inside a text; nothing here can hold it");
  add_node(parsing, node);
  settle(parsing, node);
}

static void
take_alias(Parsing *parsing, const yaml_event_t *event)
{
  const gsize start = byte_of(parsing, event->start_mark);
  complain(parsing, start, "alias",
           "aliases (*%s) are not read; put a text that begins with * in "
           "quotes",
           (const char *)event->data.alias.anchor);
  PwYamlNode *node = pw_yaml_node_new_scalar("*", PW_YAML_PLAIN);
  node->start = start;
  node->end = byte_of(parsing, event->end_mark);
  add_node(parsing, node);
  settle(parsing, node);
}

/* A tree and not a hash: no choice of keys makes it slow. */
static gint
compare_keys(gconstpointer a, gconstpointer b)
{
  return strcmp(a, b);
}

/* FALSE when it lies too deep. */
static gboolean
begin_collection(Parsing *parsing, const yaml_event_t *event, PwYamlKind kind)
{
  const gsize start = byte_of(parsing, event->start_mark);
  if (parsing->open->len >= PW_LIMIT_DEPTH) {
    complain(parsing, start, "too deep", "more than %d levels, one inside another", PW_LIMIT_DEPTH);
    return FALSE;
  }
  const gboolean is_mapping = kind == PW_YAML_MAPPING;
  const gboolean flow = is_mapping ? event->data.mapping_start.style == YAML_FLOW_MAPPING_STYLE
                                   : event->data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE;
  PwYamlNode *node = pw_yaml_node_new_collection(kind, flow ? PW_YAML_FLOW : PW_YAML_BLOCK);
  node->start = start;
  if (is_mapping)
    refuse_properties(parsing, start, event->data.mapping_start.anchor,
                      event->data.mapping_start.tag);
  else
    refuse_properties(parsing, start, event->data.sequence_start.anchor,
                      event->data.sequence_start.tag);
  add_node(parsing, node);
  g_ptr_array_add(parsing->open, node);
  g_ptr_array_add(parsing->keys, is_mapping ? g_tree_new(compare_keys) : NULL);
  return TRUE;
}

static void
end_collection(Parsing *parsing, const yaml_event_t *event)
{
  const guint last = parsing->open->len - 1;
  PwYamlNode *node = g_ptr_array_steal_index(parsing->open, last);
  GTree *keys = g_ptr_array_steal_index(parsing->keys, last);
  if (keys)
    g_tree_unref(keys);
  const char first = parsing->yaml->text[node->start];
  const gboolean in_brackets = node->form == PW_YAML_FLOW && (first == '{' || first == '[');
  if (in_brackets || node->children->len == 0)
    node->end = byte_of(parsing, event->end_mark);
  else
    node->end = pw_yaml_node_child(node, node->children->len - 1)->end;
  settle(parsing, node);
}

static gboolean
begin_document(Parsing *parsing, const yaml_event_t *event)
{
  const gsize start = byte_of(parsing, event->start_mark);
  if (event->data.document_start.tag_directives.start !=
      event->data.document_start.tag_directives.end)
    complain(parsing, start, "tag", "tags are not read; take the %%TAG line out");
  if (++parsing->n_documents == 1)
    return TRUE;
  complain(parsing, start, "second document", "a second document begins here; only one is read");
  return FALSE;
}

/* FALSE when there is nothing more to read. */
static gboolean
take_event(Parsing *parsing, const yaml_event_t *event)
{
  switch (event->type) {
  case YAML_DOCUMENT_START_EVENT:
    return begin_document(parsing, event);
  case YAML_SCALAR_EVENT:
    take_scalar(parsing, event);
    return TRUE;
  case YAML_ALIAS_EVENT:
    take_alias(parsing, event);
    return TRUE;
  case YAML_SEQUENCE_START_EVENT:
    return begin_collection(parsing, event, PW_YAML_SEQUENCE);
  case YAML_MAPPING_START_EVENT:
    return begin_collection(parsing, event, PW_YAML_MAPPING);
  case YAML_SEQUENCE_END_EVENT:
  case YAML_MAPPING_END_EVENT:
    end_collection(parsing, event);
    return TRUE;
  case YAML_STREAM_END_EVENT:
    return FALSE;
  default:
    return TRUE;
  }
}

/* ---- What libyaml finds wrong */

static void
complain_of_syntax(Parsing *parsing)
{
  const yaml_parser_t *parser = &parsing->parser;
  gsize at = parser->error == YAML_READER_ERROR
                 ? pw_yaml_bom(parsing->yaml) + parser->problem_offset
                 : byte_of(parsing, parser->problem_mark);
  gboolean at_context;
  const char *says =
      pw_yaml_words_for_problem(parser->problem, parsing->yaml->text[at], &at_context);
  if (at_context && parser->context)
    at = byte_of(parsing, parser->context_mark);
  complain(parsing, at, "syntax", "%s", says);
}

/* Makes a last line without line end read like any other: the byte behind the text is ours. */
static gsize
end_last_line(PwYaml *yaml)
{
  const gboolean ended = yaml->length > 0 && strchr("\r\n", yaml->text[yaml->length - 1]);
  if (ended)
    return yaml->length;
  yaml->text[yaml->length] = '\n';
  return yaml->length + 1;
}

static void
read_events(Parsing *parsing)
{
  PwYaml *yaml = parsing->yaml;
  const gsize bom = pw_yaml_bom(yaml);
  if (!yaml_parser_initialize(&parsing->parser))
    g_error("out of memory");
  yaml_parser_set_encoding(&parsing->parser, YAML_UTF8_ENCODING);
  yaml_parser_set_input_string(&parsing->parser, (const guchar *)yaml->text + bom,
                               end_last_line(yaml) - bom);
  parsing->byte = bom;
  for (gboolean more = TRUE; more;) {
    yaml_event_t event;
    if (!yaml_parser_parse(&parsing->parser, &event)) {
      complain_of_syntax(parsing);
      break;
    }
    more = take_event(parsing, &event) && parsing->n_faults < FAULTS_MAX;
    yaml_event_delete(&event);
  }
  yaml_parser_delete(&parsing->parser);
  yaml->text[yaml->length] = '\0';
}

/* Nothing, or only comments, is an empty mapping, to be filled at the end of the text. */
static void
settle_root(PwYaml *yaml)
{
  if (yaml->root && !pw_yaml_node_is_missing(yaml->root))
    return;
  pw_yaml_node_free(yaml->root);
  yaml->root = pw_yaml_node_new_collection(PW_YAML_MAPPING, PW_YAML_BLOCK);
  yaml->root->start = yaml->root->end = yaml->length;
}

static void
free_keys(gpointer data)
{
  if (data)
    g_tree_unref(data);
}

static PwYaml *
yaml_new(const char *text, gsize length, const char *file)
{
  PwYaml *yaml = g_new0(PwYaml, 1);
  yaml->text = g_malloc(length + 2);
  if (length > 0)
    memcpy(yaml->text, text, length);
  memset(yaml->text + length, 0, 2);
  yaml->length = length;
  yaml->file = g_strdup(file);
  yaml->line_starts = pw_yaml_find_lines(yaml->text, length);
  return yaml;
}

PwYaml *
pw_yaml_parse(const char *text, gsize length, const char *file, PwComplaints *complaints)
{
  if (length > PW_LIMIT_TEXT_BYTES) {
    pw_complaints_add(complaints, file, 0, 0, "too large", PW_SEVERITY_ERROR, NULL,
                      "%" G_GSIZE_FORMAT " bytes; a text of the record has at most %d", length,
                      PW_LIMIT_TEXT_BYTES);
    return NULL;
  }
  g_autoptr(PwYaml) yaml = yaml_new(text, length, file);
  Parsing parsing = {.yaml = yaml, .complaints = complaints};
  if (!pw_yaml_check_characters(yaml, complaints))
    return NULL;
  parsing.open = g_ptr_array_new();
  parsing.keys = g_ptr_array_new_with_free_func(free_keys);
  read_events(&parsing);
  g_ptr_array_unref(parsing.open);
  g_ptr_array_unref(parsing.keys);
  if (parsing.n_faults > 0)
    return NULL;
  settle_root(yaml);
  return g_steal_pointer(&yaml);
}

void
pw_yaml_free(PwYaml *yaml)
{
  if (!yaml)
    return;
  pw_yaml_node_free(yaml->root);
  g_array_unref(yaml->line_starts);
  g_free(yaml->text);
  g_free(yaml->file);
  g_free(yaml->path);
  g_free(yaml);
}

const PwYamlNode *
pw_yaml_peek_root(const PwYaml *yaml)
{
  return yaml->root;
}

const char *
pw_yaml_peek_file(const PwYaml *yaml)
{
  return yaml->file;
}

const char *
pw_yaml_peek_text(const PwYaml *yaml, gsize *length)
{
  if (length)
    *length = yaml->length;
  return yaml->text;
}
