/* What the files of module desk share. A request becomes a DeskAsk, plain data; what is answered is
 * a DeskAnswer; only http.c knows the server library, so that everything else is tested and fuzzed
 * without a socket.
 */
#ifndef PW_DESK_PRIVATE_H
#define PW_DESK_PRIVATE_H

#include <platewright/desk.h>
#include <platewright/model.h>

#include <json-glib/json-glib.h>

enum {
  DESK_BODY_BYTES = 4 * 1024 * 1024,
  DESK_JSON_DEPTH = 8,       /* json-glib descends by recursion */
  DESK_JSON_VALUES = 200000, /* and takes some hundred bytes a value */
  DESK_KEYS = 64,            /* pages that may write at one time */
  DESK_SECRET_BYTES = 16
};

/* ---- What lies in the folder just now: shelf.c -------------------------------------- */

/* A model and what it was read from; does not change. */
typedef struct {
  gatomicrefcount references;
  PwModel *model;
  PwWords *words;           /* the volume's language, the page's too */
  char *no_words;           /* why those are English and no other; NULL */
  PwComplaints *complaints; /* of reading it */
  GHashTable *by_id;        /* ID -> PwModelPhoto *, the model's */
  GPtrArray *ids;           /* char *, in the order of the model's photographs */
  GPtrArray *tags;          /* char *, of their sidecars; NULL where there is none */
  GArray *stamps;           /* of the files it was read from */
  char *tag;                /* of everything */
} DeskState;
void desk_state_unref(DeskState *state);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(DeskState, desk_state_unref)

typedef struct DeskShelf DeskShelf;
DeskShelf *desk_shelf_new(const char *folder, GError **error);
void desk_shelf_free(DeskShelf *shelf);
/* The state as it was last read; yours. Never waits for a reading. */
DeskState *desk_shelf_now(DeskShelf *shelf);
/* The state as the files are now: read again if one of them has changed. Yours; NULL and a GError
 * when the folder can no longer be read. */
DeskState *desk_shelf_look(DeskShelf *shelf, GError **error);
/* 16 hex digits of the sha256 of a photograph's path; yours. */
char *desk_photo_dup_id(const char *file);
const char *desk_state_peek_id(const DeskState *state, const PwModelPhoto *photo);
const char *desk_state_peek_tag(const DeskState *state, const PwModelPhoto *photo);

/* ---- Tiles: tiles.c ----------------------------------------------------------------- */

/* A photograph's tiles, open; several threads may read them. */
typedef struct DeskTiles DeskTiles;
void desk_tiles_unref(DeskTiles *tiles);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(DeskTiles, desk_tiles_unref)
const PwTiles *desk_tiles_peek(const DeskTiles *tiles);

typedef struct DeskTiler DeskTiler;
DeskTiler *desk_tiler_new(DeskShelf *shelf);
void desk_tiler_free(DeskTiler *tiler);
/* A photograph's tiles, yours; NULL while there are none. */
DeskTiles *desk_tiler_open(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo);
/* Builds or looks through this photograph's next, then its neighbours'; earlier wishes are
 * forgotten. */
void desk_tiler_want(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo);
/* Why a photograph's could not be built, yours; NULL. */
char *desk_tiler_dup_why(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo);
/* Its tiles were found damaged: there are none until they are made anew. */
void desk_tiler_doubt(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo);

/* ---- The desk ---------------------------------------------------------------------- */

typedef struct DeskHttp DeskHttp;
struct PwDesk {
  char *folder; /* its real path */
  int port;
  gboolean lan;
  char *address;
  char *token;  /* opens the page, once in the address */
  char *secret; /* the cookie's */
  char *cookie; /* its name */
  GMutex keys_lock;
  char *keys[DESK_KEYS]; /* of pages, the oldest gives way */
  guint next_key;
  GMutex saving; /* held while a text of the record is being written */
  GMutex making; /* held while a document is being made: one at a time, for each wants much room */
  GMutex touches_lock;
  GHashTable *touches; /* a page's key and a photograph's ID -> what stops the touch followed */
  DeskShelf *shelf;
  DeskTiler *tiler;
  DeskHttp *http;
};
/* A desk without a server. */
PwDesk *desk_new(const char *folder, GError **error);
void desk_free(PwDesk *desk);
/* The port it is served on from now on, and the cookie's name, which holds it. */
void desk_take_port(PwDesk *desk, int port);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwDesk, desk_free)

/* ---- Requests and answers: answer.c ------------------------------------------------- */

/* NULL where a request does not have it. */
typedef struct {
  const char *method, *path;
  const char *host, *origin, *fetch_site, *cookie, *key, *if_match, *content_type;
  const char *token, *width, *page, *style, *only; /* of the query */
  const char *body;                 /* NUL-terminated besides */
  gsize length;
  gint *stop; /* atomic; 1 when nobody waits for the answer any longer. NULL: nobody can tell */
} DeskAsk;

typedef struct {
  const char *name;
  char *value;
} DeskHeader;
typedef struct {
  guint status;
  const char *type; /* of the content */
  GBytes *body;
  const char *policy; /* what its page may load, in place of the usual; NULL */
  DeskHeader headers[2];
  gsize n_headers;
} DeskAnswer;
DeskAnswer *desk_answer_new(guint status, const char *type, GBytes *body_taken);
void desk_answer_free(DeskAnswer *answer);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(DeskAnswer, desk_answer_free)
void desk_answer_header(DeskAnswer *answer, const char *name, const char *value);
/* 200 with the JSON written so far. */
DeskAnswer *desk_answer_json(PwJson *json);
/* {"says": ...} in words for the person. */
DeskAnswer *desk_answer_says(guint status, const char *format, ...) G_GNUC_PRINTF(2, 3);
/* The same with a phrase of the language, `file` in its blank {file}. */
DeskAnswer *desk_answer_phrase(guint status, const PwWords *words, const char *key,
                               const char *file);
DeskAnswer *desk_answer_error(const GError *error);
/* To a request whose body could not be read: too large is 413, and nothing else is. */
DeskAnswer *desk_answer_unread(const GError *error);
/* {"says", "complaints"}. */
DeskAnswer *desk_answer_complaints(guint status, const char *says, PwComplaints *complaints);
/* The Content-Security-Policy of every answer that has none of its own. */
extern const char desk_policy[];
/* The other headers of every answer, name and value in turn, NULL at the end. */
extern const char *const desk_headers[];

/* ---- Who is let in: guard.c --------------------------------------------------------- */

/* The answer that turns a request away before its body is read; NULL: it may come in. */
DeskAnswer *desk_guard(PwDesk *desk, const DeskAsk *ask);
/* A fresh key for a page; yours. */
char *desk_guard_dup_key(PwDesk *desk);
/* `DESK_SECRET_BYTES` of the system's randomness as hex, yours; NULL when there is none. */
char *desk_dup_secret(GError **error);

/* ---- What is asked for: route.c ------------------------------------------------------ */

/* What a handler is given: the photograph, where the path names one, and what stands in the
 * path's blanks. */
typedef struct {
  PwDesk *desk;
  const DeskAsk *ask;
  DeskState *state;
  const PwModelPhoto *photo;
  const char *rest; /* of a path that ends in a name */
  const char *words[3];
  int numbers[3];
} DeskCall;
/* Answers a request that the guard let in. Never NULL. */
DeskAnswer *desk_route(PwDesk *desk, const DeskAsk *ask);

DeskAnswer *desk_get_index(const DeskCall *call);
DeskAnswer *desk_get_page(const DeskCall *call);
DeskAnswer *desk_get_type(const DeskCall *call);
DeskAnswer *desk_get_key(const DeskCall *call);
DeskAnswer *desk_get_volume(const DeskCall *call);
DeskAnswer *desk_get_record(const DeskCall *call);
DeskAnswer *desk_get_terms(const DeskCall *call);
DeskAnswer *desk_get_pulse(const DeskCall *call);
DeskAnswer *desk_get_photo(const DeskCall *call);
DeskAnswer *desk_get_sight(const DeskCall *call);
DeskAnswer *desk_get_tiles(const DeskCall *call);
DeskAnswer *desk_get_tile(const DeskCall *call);
DeskAnswer *desk_get_plate(const DeskCall *call);
DeskAnswer *desk_post_edit(const DeskCall *call);
DeskAnswer *desk_post_record(const DeskCall *call);
DeskAnswer *desk_post_size(const DeskCall *call);
DeskAnswer *desk_post_trace(const DeskCall *call);
DeskAnswer *desk_post_simplify(const DeskCall *call);
DeskAnswer *desk_post_corners(const DeskCall *call);
DeskAnswer *desk_post_intake(const DeskCall *call);
DeskAnswer *desk_post_check(const DeskCall *call);
DeskAnswer *desk_get_documents(const DeskCall *call);
DeskAnswer *desk_get_document_page(const DeskCall *call);
DeskAnswer *desk_get_document_pdf(const DeskCall *call);
DeskAnswer *desk_get_document_html(const DeskCall *call);
DeskAnswer *desk_get_labels_page(const DeskCall *call);
DeskAnswer *desk_get_labels_pdf(const DeskCall *call);
DeskAnswer *desk_get_table(const DeskCall *call);
DeskAnswer *desk_get_kept(const DeskCall *call);
DeskAnswer *desk_post_issue(const DeskCall *call);

/* Made from page/page.gresource.xml. */
void desk_page_register_resource(void);

/* ---- JSON --------------------------------------------------------------------------- */

/* The body as a JSON object, yours: PW_ERROR_USE when it is none, PW_ERROR_LIMIT when it is deeper
 * or has more values than we read. */
JsonNode *desk_json_read(const char *text, gsize length, GError **error);
/* A member's text; NULL when there is none or it is no text. */
const char *desk_json_text(JsonObject *object, const char *key);
gboolean desk_json_is_true(JsonObject *object, const char *key);
void desk_key_bool(PwJson *json, const char *key, gboolean value);
void desk_key_texts(PwJson *json, const char *key, const char *const *values);
/* `photo`: whose sidecar it is of, so that it names its mark; or NULL. */
void desk_put_complaint(PwJson *json, const PwComplaint *complaint, const PwModelPhoto *photo);

/* The pair "words": what a mapping of the record says, key by key, nested ones with "/". */
void desk_put_words(PwJson *json, const PwYamlNode *mapping);
/* volume.yaml, with what the model computes of it. */
void desk_put_record(PwJson *json, const DeskState *state);
/* "lacks" of a piece: PwLacks together. */
void desk_put_lacks(PwJson *json, guint lacks);
/* Why there is no size, in the language: in English with what is to be done about it. `why` may be
 * NULL, and is given back where it is. */
const char *desk_peek_why(const DeskState *state, const char *why, PwWhyNot why_not);
/* A mark's measure, shown, shown_more and why. */
void desk_put_size(PwJson *json, const DeskState *state, const PwModelMark *mark);
void desk_put_brief(PwJson *json, const DeskState *state, const PwModelPhoto *photo);
void desk_put_photo(PwJson *json, const DeskState *state, const PwModelPhoto *photo);
/* The pairs "links" (every mark's same-as and earlier, and where they lead) and "changes" (by the
 * reference of the before mark). */
void desk_put_links(PwJson *json, const DeskState *state);
void desk_put_changes(PwJson *json, const DeskState *state);

/* Edits as they were sent; their texts are the request's. */
typedef struct {
  GArray *edits;   /* PwSidecarEdit */
  GPtrArray *kept; /* their lists of values */
} DeskEdits;
void desk_edits_init(DeskEdits *edits);
void desk_edits_clear(DeskEdits *edits);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(DeskEdits, desk_edits_clear)
/* Those of the request's list `edits`; PW_ERROR_USE when they are none. */
gboolean desk_edits_read(JsonNode *request, DeskEdits *edits, GError **error);

/* A text or nothing. */
gboolean desk_take_text(JsonObject *edit, const char *key, const char **text);
/* The tag of `If-Match: "TAG"`, yours; NULL and the answer to that when there is none. */
char *desk_dup_asked_tag(const DeskAsk *ask, DeskAnswer **refusal);
/* A text or a list of them, added to `values` with NULL at the end; they stay the node's. */
gboolean desk_edit_values(JsonNode *node, GPtrArray *values);
/* To edits that were not written, though nobody else had changed the text: what is wrong with it,
 * with them, or with the disk. */
DeskAnswer *desk_answer_not_saved(guint n_edits, const GError *error, PwComplaints *complaints);

/* ---- Documents: press.c -------------------------------------------------------------- */

/* What a document is made with; the desk's press is held meanwhile. */
typedef struct {
  DeskState *state; /* the record as it is now */
  PwStyle *style;
  PwWords *words;
  const char **only; /* files of the photographs asked for, NULL at the end; NULL: all */
  PwDesk *desk;
} DeskPress;
/* In that language, in the style and of the photographs that the query names. `press` is zeros.
 * NULL: it is yours until desk_press_clear; else the answer that says why nothing is made. */
DeskAnswer *desk_press_take(const DeskCall *call, const char *language, DeskPress *press);
void desk_press_clear(DeskPress *press);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(DeskPress, desk_press_clear)
/* A file to be kept under that name, and never shown as a page of ours. `told` may be NULL. */
DeskAnswer *desk_answer_file(const char *type, GBytes *body_taken, const char *name,
                             char **told);
/* The pair "says": what is told of what was made, and which words the language lacks. */
void desk_put_told(PwJson *json, char **told, const DeskPress *press);

/* ---- The server: http.c ------------------------------------------------------------- */

/* Port 0: one that is free, of the system's choice. */
DeskHttp *desk_http_start(PwDesk *desk, int port, GError **error);
void desk_http_stop(DeskHttp *http);

/* ---- Addresses: lan.c ---------------------------------------------------------------- */

/* This machine's IPv4 addresses but the loopback, NULL-terminated, yours. */
char **desk_lan_dup_addresses(void);

#endif
