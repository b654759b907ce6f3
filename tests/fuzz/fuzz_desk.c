/* Fuzz target: a request to the marking page, from its method to the last byte of its body,
 * answered for a small volume without any socket. The first line of the input is "METHOD PATH"; in
 * the path "FRONT" stands for a photograph's ID. The second is If-Match, where "TAG" stands for the
 * tag of its text, "OWN" for that of volume.yaml, "ALL" for that of both. The rest is the body.
 * Whatever is asked, there is an answer, the photographs and the texts of the folder can be read,
 * and the answer that carries JSON is JSON. */
#include "desk/desk-private.h"

#include <platewright/report.h>

#include <glib/gstdio.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const char sidecar[] =
    "format: platewright-photo 1\nstage: before\nview: front board\n"
    "scale: {span: {from: \"10,10\", to: \"50,10\", length: 100}, plane-offset: 0}\n"
    "marks:\n  - {id: 1, term: loss, part: leaf, outline: \"10,10 20,10 20,20 10,20\"}\n"
    "  - {id: 2, term: tear, line: \"1,1 5,5\"}\n";
static const char volume[] =
    "format: platewright-volume 1\nvolume: {id: FUZZ, title: \"A volume\"}\nviews: [front board]\n";

static PwDesk *desk;
static char *folder, *text_path, *own_path, *front, *cookie;

/* A light page of 64 x 48 px with a dark patch: binary PPM is none of ours, so a PNG by libvips'
 * own way, a TIFF written here byte by byte: uncompressed, one strip. */
static void
write_photograph(const char *path)
{
  enum { WIDTH = 64, HEIGHT = 48, ENTRIES = 10, HEAD = 8 + 2 + 12 * ENTRIES + 4 + 6 };
  static const guint16 entries[ENTRIES][4] = {
      /* tag, type, count, value */
      {256, 3, 1, WIDTH}, {257, 3, 1, HEIGHT}, {258, 3, 3, HEAD - 6},
      {259, 3, 1, 1},     {262, 3, 1, 2},      {273, 4, 1, HEAD},
      {277, 3, 1, 3},     {278, 3, 1, HEIGHT}, {279, 4, 1, WIDTH * HEIGHT * 3},
      {284, 3, 1, 1}};
  guint8 *tiff = g_malloc0(HEAD + WIDTH * HEIGHT * 3);
  memcpy(tiff, "II*\0\10\0\0\0\12\0", 10);
  for (int i = 0; i < ENTRIES; i++)
    for (int part = 0; part < 4; part++) {
      guint8 *to = tiff + 10 + 12 * i + (int[]){0, 2, 4, 8}[part];
      to[0] = (guint8)entries[i][part];
      to[1] = (guint8)(entries[i][part] >> 8);
    }
  memcpy(tiff + HEAD - 6, "\10\0\10\0\10\0", 6);
  for (int i = 0; i < WIDTH * HEIGHT; i++) {
    int x = i % WIDTH, y = i / WIDTH;
    memset(tiff + HEAD + 3 * i, x > 20 && x < 40 && y > 10 && y < 30 ? 40 : 200, 3);
  }
  g_assert_true(g_file_set_contents(path, (const char *)tiff, HEAD + WIDTH * HEIGHT * 3, NULL));
  g_free(tiff);
}

static void
remove_below(const char *path)
{
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  for (const char *name; dir && (name = g_dir_read_name(dir));) {
    g_autofree char *inner = g_build_filename(path, name, NULL);
    if (g_file_test(inner, G_FILE_TEST_IS_DIR))
      remove_below(inner);
    g_remove(inner);
  }
}

static void
clean_up(void)
{
  desk_free(desk);
  remove_below(folder);
  g_remove(folder);
  g_free(folder);
  g_free(text_path);
  g_free(own_path);
  g_free(front);
  g_free(cookie);
}

static void
begin(void)
{
  g_autoptr(GError) error = NULL;
  g_assert_true(pw_photo_startup(NULL));
  folder = g_dir_make_tmp("platewright-fuzz-XXXXXX", NULL);
  g_autofree char *photo = g_build_filename(folder, "front.tif", NULL);
  own_path = g_build_filename(folder, PW_VOLUME_FILE, NULL);
  text_path = g_strconcat(photo, PW_SIDECAR_ENDING, NULL);
  write_photograph(photo);
  g_assert_true(g_file_set_contents(own_path, volume, -1, NULL));
  g_assert_true(g_file_set_contents(text_path, sidecar, -1, NULL));
  desk = desk_new(folder, &error);
  g_assert_no_error(error);
  desk->port = 50000;
  desk->cookie = g_strdup("desk-50000");
  front = desk_photo_dup_id("front.tif");
  cookie = g_strdup(desk->secret);
  atexit(clean_up);
}

/* Whether the file says what it said. */
static gboolean
is_as_it_was(const char *path, const char *text)
{
  g_autofree char *now = NULL;
  g_assert_true(g_file_get_contents(path, &now, NULL, NULL));
  return strcmp(now, text) == 0;
}

/* What an edit or the issue of a document leaves behind can be read without an error. Every run
 * begins with the same texts and nothing issued, so that what is found is found again. */
static void
put_texts_back(void)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  if (!is_as_it_was(text_path, sidecar)) {
    g_autoptr(PwSidecar) read = pw_sidecar_read(text_path, "front.tif", complaints, NULL);
    g_assert_nonnull(read);
    g_assert_true(g_file_set_contents(text_path, sidecar, -1, NULL));
  }
  if (!is_as_it_was(own_path, volume)) {
    g_autoptr(PwVolume) read = pw_volume_read(own_path, complaints, NULL);
    g_assert_nonnull(read);
    g_assert_true(g_file_set_contents(own_path, volume, -1, NULL));
  }
  g_assert_true(pw_complaints_count(complaints, PW_SEVERITY_ERROR) == 0);
  g_autofree char *issued = g_build_filename(folder, PW_ISSUED_FOLDER, NULL);
  remove_below(issued);
  g_remove(issued);
}

static char *
take_line(const char **at, const char *end)
{
  const char *stop = memchr(*at, '\n', (gsize)(end - *at));
  char *line = g_strndup(*at, (gsize)((stop ? stop : end) - *at));
  *at = stop ? stop + 1 : end;
  return line;
}

/* The word in a line, replaced; the line is used up. */
static char *
fill_in(char *line, const char *word, const char *with)
{
  g_auto(GStrv) parts = g_strsplit(line, word, -1);
  g_free(line);
  return g_strjoinv(with, parts);
}

static void
look_at(const DeskAnswer *answer)
{
  gsize length;
  const char *text = g_bytes_get_data(answer->body, &length);
  g_assert_true(answer->status >= 200 && answer->status < 600 && answer->status != 501);
  if (strcmp(answer->type, "application/json") != 0)
    return;
  g_autoptr(JsonParser) parser = json_parser_new();
  g_assert_true(json_parser_load_from_data(parser, text, (gssize)length, NULL));
}

static void
ask_once(DeskAsk *ask)
{
  g_autofree char *key = desk_guard_dup_key(desk);
  ask->host = "127.0.0.1:50000";
  ask->cookie = cookie;
  ask->key = key;
  ask->content_type = "application/json";
  g_autoptr(DeskAnswer) refused = desk_guard(desk, ask);
  if (refused != NULL) {
    look_at(refused);
    return;
  }
  g_autoptr(DeskAnswer) answer = desk_route(desk, ask);
  look_at(answer);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  if (desk == NULL)
    begin();
  g_autofree char *all = g_strndup((const char *)data, size);
  memcpy(all, data, size);
  const char *at = all, *end = all + size;
  g_autofree char *request = fill_in(take_line(&at, end), "FRONT", front);
  g_autoptr(DeskState) state = desk_shelf_look(desk->shelf, NULL);
  const PwModelPhoto *photo = g_hash_table_lookup(state->by_id, front);
  g_autofree char *own_tag = pw_volume_dup_tag(pw_model_peek_volume(state->model));
  char *with_own = fill_in(fill_in(take_line(&at, end), "TAG", desk_state_peek_tag(state, photo)),
                           "OWN", own_tag);
  g_autofree char *tag = fill_in(with_own, "ALL", state->tag);
  char *blank = strchr(request, ' ');
  if (blank == NULL)
    return 0;
  *blank = '\0';
  DeskAsk ask = {.method = request, .path = blank + 1, .body = at, .length = (gsize)(end - at)};
  ask.if_match = *tag ? tag : NULL;
  ask_once(&ask);
  put_texts_back();
  return 0;
}
