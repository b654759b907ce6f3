/* Document: pages drawn with Cairo into a scratch file, then finished by archive.c; or one page as
 * SVG.
 *
 * User space on a page is millimetres from the top-left corner of the paper, y down.
 */
#include "private.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <errno.h>
#include <string.h>

static const double pt_per_mm = 72.0 / 25.4;

static cairo_status_t
append(void *closure, const unsigned char *data, unsigned int length)
{
  return fwrite(data, 1, length, closure) == length ? CAIRO_STATUS_SUCCESS
                                                    : CAIRO_STATUS_WRITE_ERROR;
}

static void
surface_free(gpointer surface)
{
  cairo_surface_destroy(surface);
}

static PwPdf *
document_new(const PwPdfInfo *info, GError **error)
{
  g_autoptr(PwPdf) pdf = g_new0(PwPdf, 1);
  if (!pw_pdf_facts_init(&pdf->facts, info, error))
    return NULL;
  pdf->fonts = pw_pdf_fonts_new(error);
  if (pdf->fonts == NULL)
    return NULL;
  pdf->type = pw_pdf_type_new(pdf->fonts, pdf->facts.language);
  pdf->raw = pw_scratch_new(error);
  if (pdf->raw == NULL)
    return NULL;
  /* By address: a picture that is drawn twice on a page is one GBytes. */
  pdf->pictures = g_hash_table_new_full(g_direct_hash, g_direct_equal,
                                        (GDestroyNotify)g_bytes_unref, surface_free);
  pdf->outline = g_array_new(FALSE, FALSE, sizeof(int));
  pdf->missing = g_array_new(FALSE, FALSE, sizeof(gunichar));
  pw_pdf_structure_init(&pdf->structure);
  return g_steal_pointer(&pdf);
}

PwPdf *
pw_pdf_new(const PwPdfInfo *info, GError **error)
{
  PwPdf *pdf = document_new(info, error);
  if (pdf == NULL)
    return NULL;
  pdf->surface = cairo_pdf_surface_create_for_stream(append, pdf->raw, 1, 1);
  cairo_pdf_surface_restrict_to_version(pdf->surface, CAIRO_PDF_VERSION_1_4);
  return pdf;
}

/* Its surface is made with the page, for an SVG has its size from the start. */
PwPdf *
pw_pdf_new_svg(const PwPdfInfo *info, GError **error)
{
  PwPdf *pdf = document_new(info, error);
  if (pdf != NULL)
    pdf->is_svg = TRUE;
  return pdf;
}

void
pw_pdf_free(PwPdf *pdf)
{
  if (pdf == NULL)
    return;
  g_clear_pointer(&pdf->cr, cairo_destroy);
  g_clear_pointer(&pdf->surface, cairo_surface_destroy);
  g_clear_pointer(&pdf->pictures, g_hash_table_unref);
  g_clear_pointer(&pdf->raw, pw_scratch_free);
  g_clear_pointer(&pdf->outline, g_array_unref);
  g_clear_pointer(&pdf->missing, g_array_unref);
  pw_pdf_structure_clear(&pdf->structure);
  g_clear_object(&pdf->type);
  g_clear_pointer(&pdf->fonts, pw_pdf_fonts_free);
  g_clear_error(&pdf->error);
  pw_pdf_facts_clear(&pdf->facts);
  g_free(pdf);
}

static void
end_page(PwPdf *pdf)
{
  if (pdf->cr == NULL)
    return;
  pw_pdf_leave_page(pdf);
  cairo_status_t status = cairo_status(pdf->cr);
  if (status != CAIRO_STATUS_SUCCESS && pdf->error == NULL)
    g_set_error(&pdf->error, PW_ERROR, PW_ERROR_USE, "page %d could not be drawn: %s", pdf->n_pages,
                cairo_status_to_string(status));
  g_clear_pointer(&pdf->cr, cairo_destroy);
  cairo_surface_show_page(pdf->surface);
  g_hash_table_remove_all(pdf->pictures);
}

cairo_t *
pw_pdf_begin_page(PwPdf *pdf, double width_mm, double height_mm)
{
  const double width = width_mm * pt_per_mm, height = height_mm * pt_per_mm;
  g_return_val_if_fail(!pdf->is_svg || pdf->n_pages == 0, NULL);
  end_page(pdf);
  if (pdf->is_svg)
    pdf->surface = cairo_svg_surface_create_for_stream(append, pdf->raw, width, height);
  else
    cairo_pdf_surface_set_size(pdf->surface, width, height);
  pdf->cr = cairo_create(pdf->surface);
  cairo_scale(pdf->cr, pt_per_mm, pt_per_mm);
  pdf->n_pages++;
  pdf->page_width_mm = width_mm;
  pdf->page_height_mm = height_mm;
  pw_pdf_enter_page(pdf);
  return pdf->cr;
}

guint
pw_pdf_n_pages(const PwPdf *pdf)
{
  return (guint)pdf->n_pages;
}

void
pw_pdf_set_furnish(PwPdf *pdf, PwPdfFurnish furnish, gpointer data)
{
  pdf->furnish = furnish;
  pdf->furnish_data = data;
}

void
pw_pdf_bookmark(PwPdf *pdf, int level, const char *text, double y_mm)
{
  g_return_if_fail(pdf->cr != NULL && level >= 0);
  if (pdf->is_svg)
    return;
  guint depth = MIN((guint)level, pdf->outline->len);
  int parent = depth > 0 ? g_array_index(pdf->outline, int, depth - 1) : CAIRO_PDF_OUTLINE_ROOT;
  g_autofree char *name = pw_dup_printable(text);
  g_autofree char *y = pw_format_fixed(y_mm * pt_per_mm, 2);
  g_autofree char *target = g_strdup_printf("page=%d pos=[0 %s]", pdf->n_pages, y);
  int id = cairo_pdf_surface_add_outline(pdf->surface, parent, name, target,
                                         CAIRO_PDF_OUTLINE_FLAG_OPEN);
  g_array_set_size(pdf->outline, depth);
  g_array_append_val(pdf->outline, id);
}

/* A surface that stands for the JPEG: its pixels are never touched, so that they take no memory. By
 * the sum Cairo knows a picture again that it has written on an earlier page. */
static cairo_surface_t *
picture_new(GBytes *jpeg, int width, int height)
{
  gsize length = 0;
  const guchar *data = g_bytes_get_data(jpeg, &length);
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_JPEG, data, length,
                              (cairo_destroy_func_t)g_bytes_unref, g_bytes_ref(jpeg));
  char *sum = pw_sha256_dup_hex(data, length);
  cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_UNIQUE_ID, (const guchar *)sum, strlen(sum),
                              g_free, sum);
  return surface;
}

static cairo_surface_t *
picture_of(PwPdf *pdf, GBytes *jpeg, int width, int height)
{
  cairo_surface_t *surface = g_hash_table_lookup(pdf->pictures, jpeg);
  if (surface == NULL) {
    surface = picture_new(jpeg, width, height);
    g_hash_table_insert(pdf->pictures, g_bytes_ref(jpeg), surface);
  }
  return surface;
}

void
pw_pdf_draw_jpeg(PwPdf *pdf, GBytes *jpeg, int width, int height, double x_mm, double y_mm,
                 double width_mm, double height_mm)
{
  g_return_if_fail(pdf->cr != NULL);
  g_autoptr(GError) error = NULL;
  if (!pw_pdf_jpeg_check(jpeg, width, height, &error)) {
    if (pdf->error == NULL)
      pdf->error = g_steal_pointer(&error);
    return;
  }
  cairo_save(pdf->cr);
  cairo_translate(pdf->cr, x_mm, y_mm);
  cairo_scale(pdf->cr, width_mm / width, height_mm / height);
  cairo_set_source_surface(pdf->cr, picture_of(pdf, jpeg, width, height), 0, 0);
  if (pdf->is_svg) {
    cairo_paint(pdf->cr);
  } else { /* cairo_paint loses the mark it stands in */
    cairo_rectangle(pdf->cr, 0, 0, width, height);
    cairo_fill(pdf->cr);
  }
  cairo_restore(pdf->cr);
}

static gint
by_code_point(gconstpointer a, gconstpointer b)
{
  gunichar left = *(const gunichar *)a, right = *(const gunichar *)b;
  return left < right ? -1 : left > right;
}

/* "no TrueType font here has U+10330 𐌰 (script Goth), ..."; NULL when every character has its
 * glyph. */
static char *
dup_missing(GArray *missing)
{
  enum { SHOWN = 8 };
  if (missing->len == 0)
    return NULL;
  g_array_sort(missing, by_code_point);
  GString *says = g_string_new("no TrueType font here has ");
  for (guint i = 0; i < missing->len && i < SHOWN; i++) {
    gunichar c = g_array_index(missing, gunichar, i);
    guint32 tag = g_unicode_script_to_iso15924(g_unichar_get_script(c));
    char shown[7] = {0};
    g_unichar_to_utf8(c, shown);
    g_string_append_printf(says, "%sU+%04X %s (script %c%c%c%c)", i > 0 ? ", " : "", c, shown,
                           (char)(tag >> 24), (char)(tag >> 16), (char)(tag >> 8), (char)tag);
  }
  if (missing->len > SHOWN)
    g_string_append_printf(says, " and %u more characters", missing->len - SHOWN);
  return g_string_free(says, FALSE);
}

static gboolean
close_surface(PwPdf *pdf, GError **error)
{
  if (pdf->n_pages == 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a document needs a page");
    return FALSE;
  }
  end_page(pdf);
  cairo_surface_finish(pdf->surface);
  cairo_status_t status = cairo_surface_status(pdf->surface);
  if (status != CAIRO_STATUS_SUCCESS && pdf->error == NULL)
    g_set_error(&pdf->error, PW_ERROR, PW_ERROR_FILE, "Cairo could not write the document: %s",
                cairo_status_to_string(status));
  if (fflush(pdf->raw) != 0 && pdf->error == NULL)
    g_set_error(&pdf->error, PW_ERROR, PW_ERROR_FILE, "the document could not be written: %s",
                g_strerror(errno));
  if (pdf->error == NULL)
    return TRUE;
  g_propagate_error(error, g_steal_pointer(&pdf->error));
  return FALSE;
}

GBytes *
pw_pdf_finish(PwPdf *pdf, gboolean *archival, char **why, GError **error)
{
  if (!close_surface(pdf, error))
    return NULL;
  g_autofree char *against = dup_missing(pdf->missing);
  GBytes *done = pw_pdf_archive(pdf, &against, error);
  if (done == NULL)
    return NULL;
  if (archival != NULL)
    *archival = against == NULL;
  if (why != NULL)
    *why = g_steal_pointer(&against);
  return done;
}

GBytes *
pw_pdf_finish_svg(PwPdf *pdf, GError **error)
{
  g_return_val_if_fail(pdf->is_svg, NULL);
  if (!close_surface(pdf, error))
    return NULL;
  return pw_scratch_read(pdf->raw, error);
}
