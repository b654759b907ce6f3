/* Facts: what a document says of itself, kept so that its XMP packet and its Info dictionary agree
 * to the letter, as PDF/A-1 demands (ISO 19005-1, 6.7.3).
 */
#include "private.h"

#include <string.h>

/* XML 1.0 (section 2.2) has no place for U+FFFE and U+FFFF, and control characters go already. */
static char *
dup_fact(const char *text)
{
  if (text == NULL)
    return NULL;
  char *clean = g_strstrip(pw_dup_printable(text));
  for (char *at = clean; *at != '\0'; at = g_utf8_next_char(at))
    if (g_utf8_get_char(at) >= 0xFFFE && g_utf8_get_char(at) <= 0xFFFF)
      memcpy(at, "\xEF\xBF\xBD", 3);
  if (*clean == '\0')
    g_clear_pointer(&clean, g_free);
  return clean;
}

static GDateTime *
date_time_new(const char *text)
{
  g_autoptr(GTimeZone) utc = g_time_zone_new_utc();
  GDate day;
  if (!pw_parse_date(text, &day))
    return g_date_time_new_from_iso8601(text, utc);
  return g_date_time_new(utc, g_date_get_year(&day), (gint)g_date_get_month(&day),
                         g_date_get_day(&day), 0, 0, 0.0);
}

static gboolean
set_date(PwPdfFacts *facts, const char *text, GError **error)
{
  if (text == NULL)
    return TRUE;
  g_autoptr(GDateTime) date = date_time_new(text);
  if (date == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a document's date must be as ISO 8601 has it: %s",
                text);
    return FALSE;
  }
  int minutes = (int)(g_date_time_get_utc_offset(date) / G_TIME_SPAN_MINUTE);
  int ahead = ABS(minutes);
  char sign = minutes < 0 ? '-' : '+';
  g_autofree char *iso = g_date_time_format(date, "%Y-%m-%dT%H:%M:%S");
  g_autofree char *digits = g_date_time_format(date, "%Y%m%d%H%M%S");
  facts->date = g_strdup_printf("%s%c%02d:%02d", iso, sign, ahead / 60, ahead % 60);
  facts->stamp = g_strdup_printf("D:%s%c%02d'%02d'", digits, sign, ahead / 60, ahead % 60);
  return TRUE;
}

gboolean
pw_pdf_facts_init(PwPdfFacts *facts, const PwPdfInfo *info, GError **error)
{
  *facts = (PwPdfFacts){.title = dup_fact(info->title),
                        .author = dup_fact(info->author),
                        .subject = dup_fact(info->subject),
                        .language = dup_fact(info->language)};
  return set_date(facts, info->date, error);
}

void
pw_pdf_facts_clear(PwPdfFacts *facts)
{
  g_free(facts->title);
  g_free(facts->author);
  g_free(facts->subject);
  g_free(facts->language);
  g_free(facts->date);
  g_free(facts->stamp);
  *facts = (PwPdfFacts){0};
}

const char *
pw_pdf_creator(void)
{
  return "Platewright " PW_VERSION;
}

const char *
pw_pdf_producer(void)
{
  return "Platewright " PW_VERSION " with Cairo and qpdf";
}

/* One property, its text between `before` and `after`; nothing for a fact that is not told. */
static void
add_property(GString *xmp, const char *name, const char *before, const char *text,
             const char *after)
{
  if (text == NULL)
    return;
  g_autofree char *escaped = g_markup_escape_text(text, -1);
  g_string_append_printf(xmp, "   <%s>%s%s%s</%s>\n", name, before, escaped, after, name);
}

char *
pw_pdf_facts_dup_xmp(const PwPdfFacts *facts, gboolean archival)
{
  const char *alt = "<rdf:Alt><rdf:li xml:lang=\"x-default\">", *alt_end = "</rdf:li></rdf:Alt>";
  const char *seq = "<rdf:Seq><rdf:li>", *seq_end = "</rdf:li></rdf:Seq>";
  GString *xmp =
      g_string_new("<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
                   "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
                   " <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n");
  g_string_append(xmp, "  <rdf:Description rdf:about=\"\""
                       " xmlns:dc=\"http://purl.org/dc/elements/1.1/\""
                       " xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\""
                       " xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\""
                       " xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\">\n");
  add_property(xmp, "dc:format", "", "application/pdf", "");
  add_property(xmp, "dc:title", alt, facts->title, alt_end);
  add_property(xmp, "dc:creator", seq, facts->author, seq_end);
  add_property(xmp, "dc:description", alt, facts->subject, alt_end);
  add_property(xmp, "dc:language", "<rdf:Bag><rdf:li>", facts->language, "</rdf:li></rdf:Bag>");
  add_property(xmp, "xmp:CreateDate", "", facts->date, "");
  add_property(xmp, "xmp:ModifyDate", "", facts->date, "");
  add_property(xmp, "xmp:CreatorTool", "", pw_pdf_creator(), "");
  add_property(xmp, "pdf:Producer", "", pw_pdf_producer(), "");
  add_property(xmp, "pdfaid:part", "", archival ? "1" : NULL, "");
  add_property(xmp, "pdfaid:conformance", "", archival ? "B" : NULL, "");
  g_string_append(xmp, "  </rdf:Description>\n </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>\n");
  return g_string_free(xmp, FALSE);
}
