/* What marks say of each other: same-as and earlier become pointers, circles and wrong stages are
 * complained of, and marks that are one damage get one family. */
#include "model-private.h"

#include <string.h>

static void
complain(PwModelMark *mark, PwComplaints *complaints, const char *kind, PwSeverity severity,
         const char *says)
{
  pw_yaml_complain(mark->photo->sidecar->yaml, mark->text->node, complaints, kind, severity, "%s",
                   says);
}

/* A file of the folder whose last part is the one given: what the writer probably meant. */
static const char *
same_name_elsewhere(const PwModel *model, const char *reference)
{
  GHashTableIter iter;
  gpointer key;
  g_hash_table_iter_init(&iter, model->by_reference);
  while (g_hash_table_iter_next(&iter, &key, NULL)) {
    g_autofree char *tail = g_strconcat("/", reference, NULL);
    if (g_str_has_suffix(key, tail))
      return key;
  }
  return NULL;
}

static PwModelMark *
look_up(const PwModel *model, PwModelMark *mark, const char *key, const char *reference,
        PwComplaints *complaints)
{
  PwModelMark *target = pw_model_find_mark(model, reference);
  if (target != NULL && target != mark)
    return target;
  const char *near = target ? NULL : same_name_elsewhere(model, reference);
  g_autofree char *says =
      target ? g_strdup_printf("%s points at the mark itself; name another", key)
      : near ? g_strdup_printf("%s: there is no mark %s; did you mean %s", key, reference, near)
             : g_strdup_printf("%s: there is no mark %s; write the photograph's path in the volume "
                               "folder, #, and the mark's id",
                               key, reference);
  complain(mark, complaints, "dangling link", PW_SEVERITY_ERROR, says);
  return NULL;
}

gboolean
pw_model_same_term(const PwModelMark *a, const PwModelMark *b)
{
  return a->term != NULL && b->term != NULL ? a->term == b->term
                                            : g_strcmp0(a->text->term, b->text->term) == 0;
}

static void
link_same(const PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  PwModelMark *to = look_up(model, mark, "same-as", mark->text->same_as, complaints);
  if (to == NULL)
    return;
  const char *unlike = to->photo->stage != mark->photo->stage             ? "stage"
                       : !pw_model_same_term(to, mark)                    ? "term"
                       : g_strcmp0(to->text->part, mark->text->part) != 0 ? "part"
                       : to->kind != mark->kind && !mark->text->gone      ? "kind"
                                                                          : NULL;
  if (unlike != NULL) {
    g_autofree char *says =
        g_strdup_printf("same-as: %s has another %s, so it is not the same damage; make the two "
                        "agree or take the link away",
                        mark->text->same_as, unlike);
    complain(mark, complaints, "wrong link", PW_SEVERITY_ERROR, says);
    return;
  }
  if (to->text->gone != mark->text->gone) {
    complain(mark, complaints, "wrong link", PW_SEVERITY_ERROR,
             "same-as: one of the two says that the damage is gone, the other still draws it; "
             "make the two agree or take the link away");
    return;
  }
  mark->same_as = to;
}

static void
link_earlier(const PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  PwModelMark *to = look_up(model, mark, "earlier", mark->text->earlier, complaints);
  if (to == NULL)
    return;
  if (mark->photo->stage != PW_STAGE_AFTER || to->photo->stage == PW_STAGE_AFTER) {
    complain(mark, complaints, "wrong link", PW_SEVERITY_ERROR,
             "earlier: stands in an after photograph and names a mark from before; here the "
             "stages are wrong");
    return;
  }
  if (mark->text->gone && mark->text->path.n == 0)
    mark->kind = to->kind;
  if (mark->kind != to->kind) {
    complain(mark, complaints, "wrong link", PW_SEVERITY_ERROR,
             "earlier: one is an area and the other a line or a point, so no change can be told; "
             "draw both alike");
    return;
  }
  mark->earlier = to;
}

/* same-as may run through several marks; a circle has no mark that the others point at. */
static void
break_circles(PwModel *model, PwComplaints *complaints)
{
  GHashTableIter iter;
  gpointer value;
  g_hash_table_iter_init(&iter, model->by_reference);
  while (g_hash_table_iter_next(&iter, NULL, &value)) {
    PwModelMark *mark = value;
    guint steps = 0;
    for (PwModelMark *at = mark->same_as; at != NULL; at = at->same_as) {
      if (at != mark && ++steps <= PW_LIMIT_MARKS)
        continue;
      complain(mark, complaints, "wrong link", PW_SEVERITY_ERROR,
               "same-as runs in a circle; let one mark point at nothing");
      mark->same_as = NULL;
      break;
    }
  }
}

/* ---- Families: marks joined by links; the first in the model's order stands for all ---- */

static PwModelMark *
root_of(PwModelMark *mark)
{
  while (mark->family != mark) {
    mark->family = mark->family->family;
    mark = mark->family;
  }
  return mark;
}

static void
join(PwModelMark *a, PwModelMark *b)
{
  PwModelMark *x = root_of(a), *y = root_of(b);
  if (x->owner < y->owner)
    y->family = x;
  else
    x->family = y;
}

typedef void (*EachMark)(PwModel *model, PwModelMark *mark, PwComplaints *complaints);

static void
each_mark(PwModel *model, EachMark what, PwComplaints *complaints)
{
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; j < photo->n_marks; j++)
      what(model, &photo->marks[j], complaints);
  }
}

static void
link_mark(PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  if (mark->text->same_as)
    link_same(model, mark, complaints);
  if (mark->text->earlier)
    link_earlier(model, mark, complaints);
}

static void
join_mark(PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  (void)model;
  (void)complaints;
  if (mark->same_as)
    join(mark, mark->same_as);
  if (mark->earlier)
    join(mark, mark->earlier);
}

/* What is private, or excepted from the consent to show, is so on every photograph that shows
 * it. */
static void
spread_privacy(PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  (void)complaints;
  mark->family = root_of(mark);
  if (mark->text->private_ || pw_model_is_excepted(model, mark->reference) ||
      pw_model_is_excepted(model, mark->text->part))
    mark->family->withheld = TRUE;
}

static void
spread_following(PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  (void)model;
  (void)complaints;
  if (mark->photo->stage == PW_STAGE_AFTER)
    mark->family->followed = TRUE;
}

static void
take_from_family(PwModel *model, PwModelMark *mark, PwComplaints *complaints)
{
  (void)model;
  (void)complaints;
  mark->withheld = mark->family->withheld;
  mark->followed = mark->family->followed;
}

void
pw_model_resolve_links(PwModel *model, PwComplaints *complaints)
{
  each_mark(model, link_mark, complaints);
  break_circles(model, complaints);
  each_mark(model, join_mark, complaints);
  each_mark(model, spread_privacy, complaints);
  each_mark(model, spread_following, complaints);
  each_mark(model, take_from_family, complaints);
}
