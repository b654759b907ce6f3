/* Bag: files packed for keeping as a BagIt bag (RFC 8493), and a bag verified again. Knows nothing
 * of books.
 *
 * A bag is a folder: `data/` holds the files as they are (the payload), and beside it stand texts
 * that say what is there: every file with its checksum, so that anybody can tell in thirty years
 * whether all of it is there and unchanged. Paths in a bag have '/' between folders and are UTF-8.
 */
#ifndef PLATEWRIGHT_BAG_H
#define PLATEWRIGHT_BAG_H

#include <platewright/base.h>

PW_BEGIN_DECLS

enum {
  PW_BAG_FILES_MAX = 200000,                   /* files of a bag that is read or made */
  PW_BAG_DEPTH_MAX = 64,                       /* folders within folders */
  PW_BAG_LINE_MAX = 16 * 1024,                 /* bytes of a line of a manifest */
  PW_BAG_MANIFEST_BYTES_MAX = 64 * 1024 * 1024 /* of a manifest; other texts PW_LIMIT_TEXT_BYTES */
};

/* ---- Made -------------------------------------------------------------------------- */

/* A bag in the making: whole at the end or not there at all (PwFiling). Manifests are of SHA-256,
 * sorted by path, in a form that `sha256sum -c` reads. */
typedef struct PwBag PwBag;
PwBag *pw_bag_new(const char *path, GError **error);
void pw_bag_free(PwBag *bag);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwBag, pw_bag_free)
gboolean pw_bag_has_room(const PwBag *bag, guint64 bytes, GError **error);
/* Copies a regular file, no link, into the payload as `inside` ("before/IMG_1.jpg") and hashes it,
 * in one pass. PW_ERROR_STALE when it changes meanwhile; PW_ERROR_RECORD for a name that other
 * machines cannot read (not UTF-8, a backslash, a control character other than CR and LF);
 * PW_ERROR_USE once `*stop` (atomic; or NULL) is not 0. `sha256` (or NULL) is yours. */
gboolean pw_bag_copy(PwBag *bag, const char *inside, const char *from, const gint *stop,
                     char **sha256, GError **error);
/* Copies all files of a folder and the folders in it, sorted by path, but those whose names begin
 * with a point, which are counted. What a bag cannot hold (a link, a pipe, a name that others
 * cannot read) is complained of, all of it, and then nothing is copied: FALSE without a GError. */
typedef struct {
  const PwProgress *progress;
  const gint *stop;
  /* Told of each file once it is copied; or NULL. */
  void (*copied)(void *user, const char *inside, const char *sha256);
  void *user;
} PwBagCopying;
gboolean pw_bag_copy_folder(PwBag *bag, const char *folder, const PwBagCopying *copying,
                            guint *n_hidden, PwComplaints *complaints, GError **error);
/* One file from bytes that are all there. */
gboolean pw_bag_put(PwBag *bag, const char *inside, const void *data, gsize length,
                    GError **error);
/* A text beside the payload, which the tag manifest lists. */
gboolean pw_bag_put_tag(PwBag *bag, const char *name, const char *text, GError **error);
/* A line of bag-info.txt, in the order of calls; nothing for a `value` of NULL. Payload-Oxum is
 * added at the end. */
void pw_bag_add_info(PwBag *bag, const char *label, const char *value);
gboolean pw_bag_finish(PwBag *bag, GError **error);
guint pw_bag_n_files(const PwBag *bag);   /* of the payload, so far */
guint64 pw_bag_n_bytes(const PwBag *bag);

/* ---- Verified ---------------------------------------------------------------------- */

/* Whether that folder says that it is a bag: it holds a bagit.txt. */
gboolean pw_bag_is(const char *folder);
typedef struct {
  const PwProgress *progress;
  const gint *stop;
} PwBagCheckOptions;
/* Reads the whole bag and complains of all that makes it incomplete or invalid (RFC 8493, section
 * 3), or unsafe to read. Nothing is ever fetched, and nothing is written. FALSE and a GError only
 * where the folder could not be read, holds more than is read, or `*stop` was set. */
gboolean pw_bag_check(const char *folder, const PwBagCheckOptions *options,
                      PwComplaints *complaints, GError **error);

PW_END_DECLS
#endif
