/* Type: prose as texts, each run in the face that its voice asks for. */
#include "set_pdf_setting.h"

static PwFace
face_of(const PwStyle *style, PwRole role, PwVoice voice)
{
  const PwType *type = pw_style_type(style, role);
  PwInk ink = voice == PW_VOICE_SOFT ? pw_style_ink(style, "soft-ink") : type->ink;
  return (PwFace){
      .family = type->family,
      .size_pt = type->size_pt,
      .leading_pt = type->leading_pt,
      .bold = type->bold || voice == PW_VOICE_STRONG,
      /* An aside among italics stands upright. */
      .italic = voice == PW_VOICE_ASIDE ? !type->italic : type->italic,
      .tabular = type->tabular,
      .r = ink.r,
      .g = ink.g,
      .b = ink.b,
  };
}

static PwText *
keep(PwSetting *s, PwText *text)
{
  g_ptr_array_add(s->texts, text);
  return text;
}

PwText *
pw_set_words(PwSetting *s, PwRole role, const char *words, double width)
{
  PwFace face = face_of(s->style, role, PW_VOICE_PLAIN);
  return keep(s, pw_text_new(s->pdf, &face, words, width));
}

PwText *
pw_set_link(PwSetting *s, PwRole role, const char *words, const char *anchor, double width)
{
  PwFace face = face_of(s->style, role, PW_VOICE_PLAIN);
  return keep(s, pw_text_new_spans(s->pdf, &face, &(PwSpan){words, face, anchor}, 1, width));
}

PwText *
pw_set_prose(PwSetting *s, PwRole role, const PwProse *prose, PwVoice least, double width)
{
  guint n = prose->runs->len;
  g_autofree PwSpan *spans = g_new0(PwSpan, n);
  PwFace face = face_of(s->style, role, PW_VOICE_PLAIN);
  for (guint i = 0; i < n; i++) {
    const PwRun *run = &g_array_index(prose->runs, PwRun, i);
    PwVoice voice = least == PW_VOICE_STRONG ? least : run->voice;
    spans[i] = (PwSpan){run->text, face_of(s->style, role, voice), run->anchor};
  }
  return keep(s, pw_text_new_spans(s->pdf, &face, spans, n, width));
}

double
pw_set_leading(const PwSetting *s, PwRole role)
{
  return pw_style_type(s->style, role)->leading_pt * PW_MM_PER_PT;
}

double
pw_set_align(const PwText *text)
{
  return pw_text_is_leftward(text) ? 1 : 0;
}
