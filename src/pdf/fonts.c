/* Fonts: a font map of our own that knows fonts with TrueType outlines and no others.
 *
 * What Cairo embeds of such a font, PDF/A-1 accepts; of a font with PostScript outlines it embeds a
 * subset without the CharSet that PDF/A-1 wants, and bitmap, colour and variable fonts become
 * Type 3. Rules of the machine or the user (aliases, emboldening, hinting) are not read, only where
 * fonts lie, so that one text is set the same way wherever the same fonts are. A font that slips
 * through all the same is seen by archive.c, and the file then makes no claim.
 */
#include "private.h"

#include <pango/pangofc-fontmap.h>

/* Asked in this order for what a face's own family lacks: both have TrueType outlines and are small
 * enough to stand on any machine. Other fonts come after them. */
static const char fallbacks[] = "DejaVu Sans,Droid Sans Fallback";

/* A font is refused when it has all the properties of one pattern. The formats are the names that
 * FreeType gives (FT_Get_X11_Font_Format), all but "TrueType". */
#define REFUSE(name, value) "<pattern><patelt name='" name "'>" value "</patelt></pattern>"
#define REFUSE_FORMAT(format) REFUSE("fontformat", "<string>" format "</string>")
/* clang-format off */
static const char refused[] =
    REFUSE("scalable", "<bool>false</bool>")
    REFUSE("outline", "<bool>false</bool>")
    REFUSE("color", "<bool>true</bool>")
    REFUSE("variable", "<bool>true</bool>")
    REFUSE_FORMAT("CFF")
    REFUSE_FORMAT("Type 1")
    REFUSE_FORMAT("CID Type 1")
    REFUSE_FORMAT("Type 42")
    REFUSE_FORMAT("PFR")
    REFUSE_FORMAT("PCF")
    REFUSE_FORMAT("BDF")
    REFUSE_FORMAT("Windows FNT");
/* clang-format on */
/* Named instances of a variable font are told only by their number in the upper half of `index`. */
enum { INSTANCE = 1 << 16, MOST_INSTANCES = 255 };

static void
add_refused(GString *rules)
{
  g_string_append(rules, "<selectfont><rejectfont>");
  g_string_append(rules, refused);
  for (int i = 1; i <= MOST_INSTANCES; i++)
    g_string_append_printf(rules, REFUSE("index", "<int>%d</int>"), i * INSTANCE);
  g_string_append(rules, "</rejectfont></selectfont>");
}

static void
add_folders(GString *rules, const char *element, FcStrList *folders)
{
  for (FcChar8 *folder; folders != NULL && (folder = FcStrListNext(folders)) != NULL;) {
    g_autofree char *escaped = g_markup_escape_text((const char *)folder, -1);
    g_string_append_printf(rules, "<%s>%s</%s>", element, escaped, element);
  }
  if (folders != NULL)
    FcStrListDone(folders);
}

/* Where the machine's fonts and their caches lie, and which of them we refuse. */
static char *
dup_rules(void)
{
  GString *rules = g_string_new("<?xml version=\"1.0\"?><fontconfig>");
  FcConfig *machine = FcInitLoadConfig();
  if (machine != NULL) {
    add_folders(rules, "dir", FcConfigGetFontDirs(machine));
    add_folders(rules, "cachedir", FcConfigGetCacheDirs(machine));
    FcConfigDestroy(machine);
  }
  add_refused(rules);
  g_string_append(rules, "</fontconfig>");
  return g_string_free(rules, FALSE);
}

static gboolean
load(FcConfig *config)
{
  g_autofree char *rules = dup_rules();
  if (!FcConfigParseAndLoadFromMemory(config, (const FcChar8 *)rules, FcFalse))
    return FALSE;
  const FcFontSet *found =
      FcConfigBuildFonts(config) ? FcConfigGetFonts(config, FcSetSystem) : NULL;
  return found != NULL && found->nfont > 0;
}

static FcConfig *
config_new(GError **error)
{
  FcConfig *config = FcConfigCreate();
  if (config != NULL && load(config))
    return config;
  if (config != NULL)
    FcConfigDestroy(config);
  g_set_error(error, PW_ERROR, PW_ERROR_FILE,
              "no TrueType font was found; install the fonts Gentium Plus and Lato");
  return NULL;
}

PangoFontMap *
pw_pdf_fonts_new(GError **error)
{
  FcConfig *config = config_new(error);
  if (config == NULL)
    return NULL;
  PangoFontMap *fonts = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(fonts), config);
  FcConfigDestroy(config);
  /* One of Pango's pixels is then a point. */
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(fonts), 72.0);
  return fonts;
}

/* Pango 1.50 keeps its hold on a configuration that it was given when the map goes; it is taken
 * away. */
void
pw_pdf_fonts_free(PangoFontMap *fonts)
{
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(fonts), NULL);
  g_object_unref(fonts);
}

PangoContext *
pw_pdf_type_new(PangoFontMap *fonts, const char *language)
{
  PangoContext *type = pango_font_map_create_context(fonts);
  cairo_font_options_t *options = cairo_font_options_create();
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(type, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(type, FALSE);
  pango_context_set_base_dir(type, PANGO_DIRECTION_WEAK_LTR);
  pango_context_set_language(type, pango_language_from_string(language != NULL ? language : "en"));
  return type;
}

char *
pw_pdf_dup_families(const char *family)
{
  return g_strdup_printf("%s,%s", family, fallbacks);
}

/* As Pango asks for it, so that the answer is the same. */
static FcPattern *
pattern_new(FcConfig *config, const char *family, gboolean bold, gboolean italic)
{
  FcPattern *pattern = FcPatternCreate();
  g_autofree char *families = pw_pdf_dup_families(family);
  g_auto(GStrv) names = g_strsplit(families, ",", -1);
  for (char **name = names; *name != NULL; name++)
    FcPatternAddString(pattern, FC_FAMILY, (const FcChar8 *)*name);
  FcPatternAddInteger(pattern, FC_WEIGHT, bold ? FC_WEIGHT_BOLD : FC_WEIGHT_NORMAL);
  FcPatternAddInteger(pattern, FC_SLANT, italic ? FC_SLANT_ITALIC : FC_SLANT_ROMAN);
  FcConfigSubstitute(config, pattern, FcMatchPattern);
  FcDefaultSubstitute(pattern);
  return pattern;
}

char *
pw_type_dup_file(const char *family, gboolean bold, gboolean italic, GError **error)
{
  FcConfig *config = config_new(error);
  if (config == NULL)
    return NULL;
  FcResult result;
  FcPattern *pattern = pattern_new(config, family, bold, italic);
  FcPattern *font = FcFontMatch(config, pattern, &result);
  FcChar8 *file = NULL;
  char *path = NULL;
  if (font != NULL && FcPatternGetString(font, FC_FILE, 0, &file) == FcResultMatch)
    path = g_strdup((const char *)file);
  else
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "no TrueType font was found for %s", family);
  if (font != NULL)
    FcPatternDestroy(font);
  FcPatternDestroy(pattern);
  FcConfigDestroy(config);
  return path;
}
