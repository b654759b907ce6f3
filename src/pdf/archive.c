/* Archive: what Cairo wrote, made a file that can be kept: PDF/A-1b, ISO 19005-1, whose clauses are
 * named below. Done on the finished file with qpdf, since Cairo has no word for any of it.
 *
 * The claim is made only for what holds it: paint that Cairo turned into transparency, or a font
 * that it embedded as anything but TrueType, is found here and the file then claims nothing.
 */
#include "private.h"

#include <stdlib.h>
#include <string.h>

enum {
  PRINT_FLAG = 4,          /* of an annotation: it is printed (6.5.3) */
  TABLE_RECORD_BYTES = 16, /* of a TrueType font's table directory */
  TABLES_AT = 12,
  N_GLYPHS_AT = 4 /* in the table maxp */
};

typedef struct {
  qpdf_data q;
  char **against; /* what stands in the way of the claim: the first thing found */
} PwArchive;

static G_GNUC_PRINTF(2, 3) void object(PwArchive *archive, const char *format, ...)
{
  if (*archive->against != NULL)
    return;
  va_list values;
  va_start(values, format);
  *archive->against = g_strdup_vprintf(format, values);
  va_end(values);
}

/* ---- Fonts (6.3) ------------------------------------------------------------------- */

static guint
big_endian(const guint8 *at, int bytes)
{
  guint value = 0;
  for (int i = 0; i < bytes; i++)
    value = value << 8 | at[i];
  return value;
}

/* numGlyphs of a TrueType font; 0 when the bytes are none. */
static guint
n_glyphs_of(const guint8 *font, gsize length)
{
  guint n_tables = length >= TABLES_AT ? big_endian(font + 4, 2) : 0;
  for (guint i = 0; i < n_tables; i++) {
    gsize record = TABLES_AT + i * (gsize)TABLE_RECORD_BYTES;
    if (record + TABLE_RECORD_BYTES > length)
      return 0;
    gsize offset = big_endian(font + record + 8, 4);
    if (memcmp(font + record, "maxp", 4) == 0)
      return offset + N_GLYPHS_AT + 2 <= length ? big_endian(font + offset + N_GLYPHS_AT, 2) : 0;
  }
  return 0;
}

static guint
embedded_glyphs(qpdf_data q, qpdf_oh descriptor)
{
  qpdf_oh file = qpdf_oh_get_key(q, descriptor, "/FontFile2");
  unsigned char *bytes = NULL;
  size_t length = 0;
  guint n = 0;
  if (qpdf_oh_is_stream(q, file) &&
      (qpdf_oh_get_stream_data(q, file, qpdf_dl_generalized, NULL, &bytes, &length) &
       QPDF_ERRORS) == 0)
    n = n_glyphs_of(bytes, length);
  free(bytes); /* qpdf's is malloc's */
  return n;
}

static qpdf_oh
stream_new(qpdf_data q, const void *bytes, gsize length)
{
  qpdf_oh stream = qpdf_oh_new_stream(q);
  qpdf_oh nothing = qpdf_oh_new_null(q);
  qpdf_oh_replace_stream_data(q, stream, bytes, length, nothing, nothing);
  return stream;
}

/* A CID font says which of its glyphs the file holds, one bit each, the first bit the highest
 * (6.3.5, and PDF 1.4 table 5.20), and that a CID is a glyph's number (6.3.3.2). Cairo numbers the
 * glyphs of a subset from 0 without gaps. */
static void
complete_cid_font(PwArchive *archive, qpdf_oh font)
{
  qpdf_data q = archive->q;
  qpdf_oh descriptor = qpdf_oh_get_key(q, font, "/FontDescriptor");
  guint n = embedded_glyphs(q, descriptor);
  if (n == 0) {
    object(archive, "a font was embedded without its outlines");
    return;
  }
  g_autofree guint8 *bits = g_malloc0((n + 7) / 8);
  for (guint i = 0; i < n; i++)
    bits[i / 8] |= (guint8)(0x80 >> i % 8);
  qpdf_oh_replace_key(q, font, "/CIDToGIDMap", qpdf_oh_new_name(q, "/Identity"));
  qpdf_oh_replace_key(q, descriptor, "/CIDSet", stream_new(q, bits, (n + 7) / 8));
}

static void
make_readable(qpdf_data q, qpdf_oh font)
{
  qpdf_oh map = qpdf_oh_get_key(q, font, "/ToUnicode");
  unsigned char *bytes = NULL;
  size_t length = 0;
  if (!qpdf_oh_is_stream(q, map) ||
      (qpdf_oh_get_stream_data(q, map, qpdf_dl_generalized, NULL, &bytes, &length) & QPDF_ERRORS) !=
          0)
    return;
  g_autofree char *readable = pw_pdf_dup_readable_map((const char *)bytes, length);
  if (readable != NULL)
    qpdf_oh_replace_key(q, font, "/ToUnicode", stream_new(q, readable, strlen(readable)));
  free(bytes);
}

static void
treat_font(PwArchive *archive, qpdf_oh font)
{
  make_readable(archive->q, font);
  g_autofree char *kind =
      g_strdup(qpdf_oh_get_name(archive->q, qpdf_oh_get_key(archive->q, font, "/Subtype")));
  if (g_str_equal(kind, "/CIDFontType2"))
    complete_cid_font(archive, font);
  else if (!g_str_equal(kind, "/Type0") && !g_str_equal(kind, "/TrueType"))
    object(archive, "a font was embedded as %s, not as TrueType", kind + 1);
}

/* ---- Every dictionary -------------------------------------------------------------- */

static gboolean
is_name(qpdf_data q, qpdf_oh dictionary, const char *key, const char *name)
{
  return qpdf_oh_is_name_and_equals(q, qpdf_oh_get_key(q, dictionary, key), name) == QPDF_TRUE;
}

static gboolean
is_below_one(qpdf_data q, qpdf_oh dictionary, const char *key)
{
  double value = 1;
  return qpdf_oh_get_value_as_number(q, qpdf_oh_get_key(q, dictionary, key), &value) && value < 1;
}

static gboolean
is_transparent(qpdf_data q, qpdf_oh dictionary)
{
  return is_below_one(q, dictionary, "/ca") || is_below_one(q, dictionary, "/CA") ||
         (qpdf_oh_has_key(q, dictionary, "/SMask") && !is_name(q, dictionary, "/SMask", "/None")) ||
         (qpdf_oh_has_key(q, dictionary, "/BM") && !is_name(q, dictionary, "/BM", "/Normal"));
}

/* Pictures are not smoothed (6.2.4), nothing is a transparency group, as Cairo calls every page
 * (6.4), links are printed (6.5.3). */
static void
treat_dictionary(PwArchive *archive, qpdf_oh dictionary)
{
  qpdf_data q = archive->q;
  if (is_transparent(q, dictionary))
    object(archive, "something was painted with transparency");
  if (qpdf_oh_has_key(q, dictionary, "/Interpolate"))
    qpdf_oh_remove_key(q, dictionary, "/Interpolate");
  if (qpdf_oh_has_key(q, dictionary, "/Group"))
    qpdf_oh_remove_key(q, dictionary, "/Group");
  if (is_name(q, dictionary, "/Subtype", "/Link"))
    qpdf_oh_replace_key(q, dictionary, "/F", qpdf_oh_new_integer(q, PRINT_FLAG));
  if (is_name(q, dictionary, "/Type", "/Font"))
    treat_font(archive, dictionary);
}

static GPtrArray *
keys_of(qpdf_data q, qpdf_oh dictionary)
{
  GPtrArray *keys = g_ptr_array_new_with_free_func(g_free);
  qpdf_oh_begin_dict_key_iter(q, dictionary);
  while (qpdf_oh_dict_more_keys(q))
    g_ptr_array_add(keys, g_strdup(qpdf_oh_dict_next_key(q)));
  return keys;
}

/* A dictionary and those that stand in it; what it only points to has its own turn. */
static void
treat(PwArchive *archive, qpdf_oh thing)
{
  qpdf_data q = archive->q;
  qpdf_oh dictionary = qpdf_oh_is_stream(q, thing) ? qpdf_oh_get_dict(q, thing) : thing;
  if (!qpdf_oh_is_dictionary(q, dictionary))
    return;
  treat_dictionary(archive, dictionary);
  g_autoptr(GPtrArray) keys = keys_of(q, dictionary);
  for (guint i = 0; i < keys->len; i++) {
    qpdf_oh value = qpdf_oh_get_key(q, dictionary, g_ptr_array_index(keys, i));
    if (!qpdf_oh_is_indirect(q, value))
      treat(archive, value);
  }
}

static void
treat_all(PwArchive *archive)
{
  qpdf_data q = archive->q;
  int size = qpdf_oh_get_int_value_as_int(q, qpdf_oh_get_key(q, qpdf_get_trailer(q), "/Size"));
  for (int id = 1; id < size; id++) {
    treat(archive, qpdf_get_object_by_id(q, id, 0));
    qpdf_oh_release_all(q);
  }
}

/* ---- What the file says of itself (6.2.2, 6.7) ------------------------------------- */

static void
set_text(qpdf_data q, qpdf_oh dictionary, const char *key, const char *text)
{
  if (text != NULL)
    qpdf_oh_replace_key(q, dictionary, key, qpdf_oh_new_unicode_string(q, text));
}

static void
set_info(qpdf_data q, const PwPdfFacts *facts)
{
  qpdf_oh info = qpdf_oh_new_dictionary(q);
  set_text(q, info, "/Title", facts->title);
  set_text(q, info, "/Author", facts->author);
  set_text(q, info, "/Subject", facts->subject);
  set_text(q, info, "/Creator", pw_pdf_creator());
  set_text(q, info, "/Producer", pw_pdf_producer());
  set_text(q, info, "/CreationDate", facts->stamp);
  set_text(q, info, "/ModDate", facts->stamp);
  qpdf_oh_replace_key(q, qpdf_get_trailer(q), "/Info", qpdf_make_indirect_object(q, info));
}

static void
set_metadata(qpdf_data q, const PwPdfFacts *facts, gboolean archival)
{
  g_autofree char *xmp = pw_pdf_facts_dup_xmp(facts, archival);
  qpdf_oh stream = stream_new(q, xmp, strlen(xmp));
  qpdf_oh dictionary = qpdf_oh_get_dict(q, stream);
  qpdf_oh_replace_key(q, dictionary, "/Type", qpdf_oh_new_name(q, "/Metadata"));
  qpdf_oh_replace_key(q, dictionary, "/Subtype", qpdf_oh_new_name(q, "/XML"));
  qpdf_oh_replace_key(q, qpdf_get_root(q), "/Metadata", stream);
}

static gboolean
set_output_intent(qpdf_data q, GError **error)
{
  g_autoptr(GBytes) profile = pw_pdf_profile_new(error);
  if (profile == NULL)
    return FALSE;
  gsize length = 0;
  const void *bytes = g_bytes_get_data(profile, &length);
  qpdf_oh stream = stream_new(q, bytes, length);
  qpdf_oh_replace_key(q, qpdf_oh_get_dict(q, stream), "/N", qpdf_oh_new_integer(q, 3));
  qpdf_oh intent = qpdf_oh_parse(q, "<< /Type /OutputIntent /S /GTS_PDFA1"
                                    " /OutputConditionIdentifier (sRGB IEC61966-2.1)"
                                    " /Info (sRGB IEC61966-2.1) >>");
  qpdf_oh_replace_key(q, intent, "/DestOutputProfile", stream);
  qpdf_oh_replace_key(q, qpdf_get_root(q), "/OutputIntents",
                      qpdf_oh_wrap_in_array(q, qpdf_make_indirect_object(q, intent)));
  return TRUE;
}

static void
set_catalog(qpdf_data q, const PwPdfFacts *facts)
{
  qpdf_oh root = qpdf_get_root(q);
  if (facts->title != NULL)
    qpdf_oh_replace_key(q, root, "/ViewerPreferences",
                        qpdf_oh_parse(q, "<< /DisplayDocTitle true >>"));
  if (facts->language != NULL)
    qpdf_oh_replace_key(q, root, "/Lang", qpdf_oh_new_string(q, facts->language));
}

/* ---- The file ---------------------------------------------------------------------- */

/* Version 1.4 knows no object streams; the identity is made of the content. */
static GBytes *
write_out(qpdf_data q, GError **error)
{
  g_autoptr(PwScratch) scratch = pw_scratch_new(error);
  g_autofree char *path = scratch ? pw_scratch_dup_path(scratch) : NULL;
  if (path == NULL || (qpdf_init_write(q, path) & QPDF_ERRORS) != 0)
    return NULL;
  qpdf_set_object_stream_mode(q, qpdf_o_disable);
  qpdf_set_newline_before_endstream(q, QPDF_TRUE);
  qpdf_force_pdf_version(q, "1.4");
  qpdf_set_deterministic_ID(q, QPDF_TRUE);
  if ((qpdf_write(q) & QPDF_ERRORS) != 0)
    return NULL;
  return pw_scratch_read(scratch, error);
}

static GBytes *
finish(qpdf_data q, const PwPdf *pdf, char **against, GError **error)
{
  const PwPdfFacts *facts = &pdf->facts;
  g_autofree char *raw = pw_scratch_dup_path(pdf->raw);
  if ((qpdf_read(q, raw, NULL) & QPDF_ERRORS) != 0)
    return NULL;
  treat_all(&(PwArchive){q, against});
  set_info(q, facts);
  set_metadata(q, facts, *against == NULL);
  set_catalog(q, facts);
  if (!pw_pdf_plant(q, &pdf->structure)) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE,
                "the document could not be finished: its content is not as Cairo writes it");
    return NULL;
  }
  if (*against == NULL && !set_output_intent(q, error))
    return NULL;
  return qpdf_has_error(q) ? NULL : write_out(q, error);
}

GBytes *
pw_pdf_archive(const PwPdf *pdf, char **against, GError **error)
{
  qpdf_data q = qpdf_init();
  qpdf_silence_errors(q);
  qpdf_set_suppress_warnings(q, QPDF_TRUE);
  g_autoptr(GError) own = NULL;
  GBytes *done = finish(q, pdf, against, &own);
  if (own != NULL)
    g_propagate_error(error, g_steal_pointer(&own));
  else if (done == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "the document could not be finished: %s",
                qpdf_has_error(q) ? qpdf_get_error_full_text(q, qpdf_get_error(q))
                                  : "no reason told");
  qpdf_cleanup(&q);
  return done;
}
