/* The file around the blocks: head with its policy, style and script, title, contents, foot. */
#include "set_html_private.h"

#include <gio/gio.h>

#define PLACE "/platewright/html/"
static const char *const styles[] = {"page.css", "words.css", "plate.css", "print.css"};
static const char *const scripts[] = {"plate.js"};

/* ---- Style and script --------------------------------------------------------------------------
 */

void report_html_register_resource(void); /* made by glib-compile-resources */

static void
register_assets(void)
{
  static gsize done = 0;
  if (!g_once_init_enter(&done))
    return;
  report_html_register_resource();
  g_once_init_leave(&done, 1);
}

/* What the library carries, one file behind the other. */
static char *
dup_assets(const char *const *names, gsize n)
{
  register_assets();
  GString *text = g_string_new(NULL);
  for (gsize i = 0; i < n; i++) {
    g_autofree char *path = g_strconcat(PLACE, names[i], NULL);
    g_autoptr(GBytes) file = g_resources_lookup_data(path, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
    gsize length = 0;
    const char *data = file != NULL ? g_bytes_get_data(file, &length) : "";
    g_string_append_len(text, data, (gssize)length);
  }
  return g_string_free(text, FALSE);
}

/* CSP Level 3, 2.3.1: a hash-source, of the text between the tags, byte for byte. */
static char *
dup_hash_source(const char *text)
{
  g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
  g_checksum_update(sum, (const guchar *)text, -1);
  guint8 digest[32];
  gsize length = sizeof digest;
  g_checksum_get_digest(sum, digest, &length);
  g_autofree char *base64 = g_base64_encode(digest, length);
  return g_strdup_printf("'sha256-%s'", base64);
}

static void
put_policy(PwMarkup *markup, const char *style, const char *script)
{
  g_autofree char *style_hash = dup_hash_source(style), *script_hash = dup_hash_source(script);
  g_autofree char *policy =
      g_strdup_printf("default-src 'none'; img-src data:; style-src %s; script-src %s; "
                      "base-uri 'none'; form-action 'none'",
                      style_hash, script_hash);
  pw_markup_void(markup, "meta", "http-equiv", "Content-Security-Policy", "content", policy, NULL);
}

/* ---- The file ----------------------------------------------------------------------------------
 */

static char *
dup_title(const PwDoc *doc)
{
  if (doc->subject == NULL || *doc->subject == '\0')
    return g_strdup(doc->title);
  return g_strdup_printf("%s: %s", doc->title, doc->subject);
}

static void
put_meta(PwMarkup *markup, const char *name, const char *content)
{
  if (content != NULL && *content != '\0')
    pw_markup_void(markup, "meta", "name", name, "content", content, NULL);
}

/* Stand for the numbers of a page and of all in words that are set by CSS. */
#define PAGE_N "\001"
#define PAGE_M "\002"

/* Words as a value of `content` (CSS Generated Content 3, 2; strings by CSS Syntax 3, 4.3.5), the
 * numbers as counters between its strings. */
static char *
dup_content(const char *words)
{
  GString *content = g_string_new("\"");
  for (const char *at = words; *at != '\0'; at++) {
    if (*at == *PAGE_N)
      g_string_append(content, "\" counter(page) \"");
    else if (*at == *PAGE_M)
      g_string_append(content, "\" counter(pages) \"");
    else if (*at == '"' || *at == '\\' || *at == '<' || g_ascii_iscntrl(*at))
      g_string_append_printf(content, "\\%x ", (guint)*at);
    else
      g_string_append_c(content, *at);
  }
  g_string_append_c(content, '"');
  return g_string_free(content, FALSE);
}

/* Each sheet of paper says of which document it is, and which of how many. */
static char *
dup_page_rule(const PwHtml *html)
{
  g_autofree char *page =
      pw_words_dup_phrase(html->options->words, "foot-page", "n", PAGE_N, "m", PAGE_M, NULL);
  g_autofree char *number = dup_content(page);
  g_autofree char *what = dup_content(html->doc->foot != NULL ? html->doc->foot : "");
  return g_strdup_printf("@page { @bottom-left { content: %s } @bottom-right { content: %s } }\n",
                         what, number);
}

static void
put_head(PwHtml *html)
{
  PwMarkup *markup = html->markup;
  g_autofree char *common = dup_assets(styles, G_N_ELEMENTS(styles));
  g_autofree char *page_rule = dup_page_rule(html);
  g_autofree char *style = g_strconcat(common, html->rules->str, page_rule, NULL);
  g_autofree char *script = dup_assets(scripts, G_N_ELEMENTS(scripts));
  g_autofree char *title = dup_title(html->doc);
  pw_markup_open(markup, "head", NULL);
  pw_markup_void(markup, "meta", "charset", "utf-8", NULL);
  put_policy(markup, style, script);
  put_meta(markup, "viewport", "width=device-width, initial-scale=1");
  put_meta(markup, "referrer", "no-referrer");
  put_meta(markup, "author", html->doc->author);
  pw_markup_element(markup, "title", title, NULL);
  pw_markup_void(markup, "link", "rel", "icon", "href", "data:,", NULL); /* else it is asked for */
  pw_markup_open(markup, "style", NULL);
  pw_markup_verbatim(markup, style);
  pw_markup_close(markup);
  pw_markup_open(markup, "script", "type", "module", NULL);
  pw_markup_verbatim(markup, script);
  pw_markup_close(markup);
  pw_markup_close(markup);
  pw_markup_verbatim(markup, "\n");
}

static void
put_who_and_when(PwHtml *html)
{
  const char *who = html->doc->author, *iso = html->doc->date;
  g_autofree char *when = iso != NULL ? pw_words_dup_date(html->options->words, iso) : NULL;
  const char *between = who != NULL && when != NULL ? " \u00b7 " : "";
  g_autofree char *both = g_strconcat(who ? who : "", between, when ? when : "", NULL);
  if (*both != '\0')
    pw_markup_element(html->markup, "p", both, "class", "who", NULL);
}

static void
put_header(PwHtml *html)
{
  const PwDoc *doc = html->doc;
  pw_markup_open(html->markup, "header", NULL);
  pw_markup_element(html->markup, "h1", doc->title, NULL);
  if (doc->subject != NULL && *doc->subject != '\0')
    pw_markup_element(html->markup, "p", doc->subject, "class", "subject", NULL);
  put_who_and_when(html);
  pw_markup_close(html->markup);
  pw_markup_verbatim(html->markup, "\n");
}

static void
put_foot(PwHtml *html)
{
  if (html->doc->foot == NULL || *html->doc->foot == '\0')
    return;
  pw_markup_open(html->markup, "footer", NULL);
  pw_markup_element(html->markup, "p", html->doc->foot, NULL);
  pw_markup_close(html->markup);
  pw_markup_verbatim(html->markup, "\n");
}

/* What the script shows a mark's words on; its words are in the reader's language. */
static void
put_slip(PwHtml *html)
{
  if (html->plates->len == 0)
    return;
  pw_markup_open(html->markup, "template", "id", "_slip", NULL);
  pw_markup_open(html->markup, "aside", "class", "slip", "hidden", "", "aria-label",
                 pw_html_word(html, "html-marks"), NULL);
  pw_markup_element(html->markup, "button", "\u00d7", "type", "button", "aria-label",
                    pw_html_word(html, "html-close"), NULL);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}

static void
put_body(PwHtml *html)
{
  pw_markup_open(html->markup, "body", NULL);
  pw_markup_element(html->markup, "a", pw_html_word(html, "html-skip"), "class", "skip", "href",
                    "#_main", NULL);
  put_header(html);
  pw_html_contents(html);
  pw_markup_open(html->markup, "main", "id", "_main", NULL);
  for (guint i = 0; i < html->doc->blocks->len; i++)
    pw_html_block(html, html->doc->blocks->pdata[i]);
  pw_markup_close(html->markup);
  put_foot(html);
  put_slip(html);
  pw_markup_close(html->markup);
  pw_markup_verbatim(html->markup, "\n");
}

/* ---- The work ----------------------------------------------------------------------------------
 */

static void
free_plate(gpointer data)
{
  PwHtmlPlate *plate = data;
  pw_sheet_free(plate->sheet);
  g_free(plate);
}

static void
html_clear(PwHtml *html)
{
  g_string_free(html->rules, TRUE);
  g_ptr_array_unref(html->plates);
  g_hash_table_unref(html->anchors);
  g_hash_table_unref(html->claimed);
  pw_html_pictures_free(html->pictures);
  pw_markup_free(html->markup);
}

GBytes *
pw_set_html(const PwModel *model, const PwDoc *doc, const PwReportOptions *options, GError **error)
{
  PwHtml html = {
      .model = model,
      .doc = doc,
      .options = options,
      .markup = pw_markup_new(),
      .anchors = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .claimed = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .plates = g_ptr_array_new_with_free_func(free_plate),
      .rules = g_string_new(NULL),
      .pictures = pw_html_pictures_new(model, options),
      .level = 1,
  };
  GBytes *bytes = NULL;
  pw_html_gather_plates(&html);
  pw_html_gather_anchors(&html);
  if (pw_html_pictures_run(html.pictures, error)) {
    pw_markup_verbatim(html.markup, "<!DOCTYPE html>\n");
    pw_markup_open(html.markup, "html", "lang", doc->language, NULL);
    put_head(&html);
    put_body(&html);
    pw_markup_close(html.markup);
    pw_markup_verbatim(html.markup, "\n");
    bytes = pw_markup_take_bytes(html.markup);
  }
  html_clear(&html);
  return bytes;
}
