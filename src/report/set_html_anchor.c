/* Names within the file. Every link has a target: an anchor that no element bears leads nowhere and
 * its words stand without a link; one that two blocks claim belongs to the first. */
#include "set_html_private.h"

char *
pw_html_dup_id(const char *anchor)
{
  GString *id = g_string_new(NULL);
  for (const char *at = anchor; *at != '\0'; at++) {
    gboolean plain = g_ascii_isalnum(*at) || *at == '-' || *at == '.';
    if (plain)
      g_string_append_c(id, *at);
    else
      g_string_append_printf(id, "_%02x", (guchar)*at);
  }
  return g_string_free(id, FALSE);
}

static void
gather(PwHtml *html, const char *anchor)
{
  if (anchor != NULL && *anchor != '\0')
    g_hash_table_add(html->anchors, g_strdup(anchor));
}

static gboolean
is_shown(const PwHtml *html, const PwBlock *plate)
{
  return ((const PwHtmlPlate *)html->plates->pdata[plate->number - 1])->sheet != NULL;
}

void
pw_html_gather_anchors(PwHtml *html)
{
  for (guint i = 0; i < html->doc->blocks->len; i++) {
    const PwBlock *block = html->doc->blocks->pdata[i];
    if (block->kind != PW_BLOCK_PLATE || is_shown(html, block))
      gather(html, block->anchor);
    for (guint k = 0; block->rows != NULL && k < block->rows->len; k++)
      gather(html, ((const PwRow *)block->rows->pdata[k])->anchor);
  }
}

char *
pw_html_claim_id(PwHtml *html, const char *anchor)
{
  if (anchor == NULL || *anchor == '\0' || !g_hash_table_add(html->claimed, g_strdup(anchor)))
    return NULL;
  return pw_html_dup_id(anchor);
}

char *
pw_html_dup_target(const PwHtml *html, const char *anchor)
{
  if (anchor == NULL || !g_hash_table_contains(html->anchors, anchor))
    return NULL;
  g_autofree char *id = pw_html_dup_id(anchor);
  return g_strdup_printf("#%s", id);
}
