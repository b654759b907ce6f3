/* Style: held and asked.
 */
#include "private.h"

#include <math.h>

static PwStyle *
style_new(void)
{
  PwStyle *style = g_new0(PwStyle, 1);
  for (int i = 0; i < PW_N_LENGTHS; i++)
    style->lengths[i] = (double)NAN;
  for (int i = 0; i < PW_N_INKS; i++)
    style->inks[i].r = (double)NAN;
  for (int i = 0; i < PW_N_ROLES; i++)
    style->types[i].size_pt = (double)NAN;
  return style;
}

void
pw_style_free(PwStyle *style)
{
  if (style == NULL)
    return;
  for (int i = 0; i < PW_N_ROLES; i++)
    g_free(style->types[i].family);
  for (int i = 0; i < PW_N_GROUPS; i++)
    g_free(style->groups[i].name);
  g_free(style->name);
  g_free(style);
}

static const PwStyleKind style_kind = {.format = "platewright-style 1",
                                       .what = "style",
                                       .folder = "",
                                       .read = pw_style_read_sheet,
                                       .check_whole = pw_style_check_whole};

PwStyle *
pw_style_read(const char *name, PwComplaints *complaints, GError **error)
{
  g_autoptr(PwStyle) style = style_new();
  return pw_style_read_chain(&style_kind, name, style, NULL, complaints, error)
             ? g_steal_pointer(&style)
             : NULL;
}

void
pw_style_page(const PwStyle *style, const PwWords *words, double *short_mm, double *long_mm)
{
  const PwStylePaper *page = style->page.short_mm > 0 ? &style->page : &words->paper;
  *short_mm = page->short_mm;
  *long_mm = page->long_mm;
}

/* A name that no style has is a slip of ours. */
static int
place_of(const PwStyleKey *keys, const char *name)
{
  int place = pw_style_key_index(keys, name);
  if (place < 0)
    g_error("a style has no \"%s\"", name);
  return place;
}

double
pw_style_length(const PwStyle *style, const char *name)
{
  return style->lengths[place_of(pw_style_length_keys, name)];
}

PwInk
pw_style_ink(const PwStyle *style, const char *name)
{
  return style->inks[place_of(pw_style_ink_keys, name)];
}

const PwType *
pw_style_type(const PwStyle *style, PwRole role)
{
  g_assert(role < PW_N_ROLES);
  return &style->types[role];
}

const PwGroupLook *
pw_style_group(const PwStyle *style, const char *group)
{
  int place = group != NULL ? pw_style_key_index(pw_style_group_keys, group) : -1;
  return &style->groups[place >= 0 ? place : PW_N_GROUPS - 1];
}

gboolean
pw_style_is_grey(const PwStyle *style)
{
  return style->grey;
}
