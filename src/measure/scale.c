/* Scales: what a photograph says of its scale becomes a map from px to mm on the measured surface,
 * with the facts that documents print of it.
 */
#include "effects.h"
#include "pose.h"

#include <math.h>
#include <string.h>

/* A span or line shorter than this, in px, has no direction and no length to speak of. */
static const double SHORTEST_SPAN_PX = 1;
/* A misfit under this changes no size by more than a careful hand does. */
static const double WORTH_TELLING_PERCENT = 0.5;
/* In standard uncertainties: of right pictures none in 1200 gets there (test measure-tags). */
static const double DOUBT = 3;
/* Of flat cards one in forty gets there where the lens displaces the picture's corner by 1 %, one
 * in two hundred where each corner is off by 0.3 px; of cards that bulge by 2 mm over 148 one in
 * thirty does not (test measure-tags). */
static const double FLAT_RMS_PX = 0.5;

static gboolean
fail(GError **error, gint code, const char *why)
{
  g_set_error_literal(error, PW_ERROR, code, why);
  return FALSE;
}

static gboolean
check_rectangle(const PwScaleInput *in, GError **error)
{
  if (!(in->width_mm > 0 && in->height_mm > 0 && isfinite(in->width_mm) && isfinite(in->height_mm)))
    return fail(error, PW_ERROR_RECORD, "the rectangle's width and height must be above 0 mm");
  if (!(pw_px_signed_area(in->corners, 4) > 0))
    return fail(error, PW_ERROR_NUMERIC,
                "the rectangle's corners must run clockwise as seen, the width first");
  return TRUE;
}

static gboolean
check_line(const PwScaleInput *in, GError **error)
{
  gboolean ticks = in->method == PW_SCALE_TICKS;
  if (!(in->length_mm > 0 && isfinite(in->length_mm)))
    return fail(error, PW_ERROR_RECORD,
                ticks ? "the graduations' length must be above 0 mm"
                      : "the span's length must be above 0 mm");
  if (!(hypot(in->to.x - in->from.x, in->to.y - in->from.y) >= SHORTEST_SPAN_PX))
    return fail(error, PW_ERROR_NUMERIC,
                ticks ? "the two ends of the line along the graduations coincide"
                      : "the span's two ends coincide");
  if (ticks && !(in->length_u_mm >= 0 && isfinite(in->length_u_mm) && in->length_dof > 0))
    return fail(error, PW_ERROR_NUMERIC, "the graduations do not tell how sure their reading is");
  return TRUE;
}

/* Four corners fit a plane whatever their errors. */
static gboolean
check_tags(const PwScaleInput *in, const PwUncertainty *uncertainty, GError **error)
{
  enum { LEAST_CORNERS = 4 };
  if (in->n_tag_points < LEAST_CORNERS)
    return fail(error, PW_ERROR_RECORD, "no card was found in the picture");
  if (in->n_tag_points == LEAST_CORNERS && isnan(uncertainty->by[PW_INPUT_TAG]))
    return fail(error, PW_ERROR_NUMERIC,
                "one tag alone cannot tell how well it was found; two of a card are needed");
  if (in->print_along <= 0 || in->print_across <= 0)
    return fail(error, PW_ERROR_RECORD, "the card's check lines must be above 0 mm");
  return TRUE;
}

static gboolean
check_method(const PwScaleInput *in, const PwUncertainty *uncertainty, GError **error)
{
  switch (in->method) {
  case PW_SCALE_RECTANGLE:
    return check_rectangle(in, error);
  case PW_SCALE_SPAN:
  case PW_SCALE_TICKS:
    return check_line(in, error);
  case PW_SCALE_TAGS:
    return check_tags(in, uncertainty, error);
  case PW_SCALE_NONE:
    break;
  }
  return fail(error, PW_ERROR_RECORD, "no scale in the picture");
}

static gboolean
check_input(const PwScaleInput *in, const PwUncertainty *uncertainty, GError **error)
{
  if (!check_method(in, uncertainty, error))
    return FALSE;
  if (!isfinite(in->plane_offset_mm))
    return fail(error, PW_ERROR_RECORD,
                "no plane-offset: say by how many mm the measured surface stands nearer the camera "
                "than the card (0 where they are level)");
  if (!(in->picture_width > 0 && in->picture_height > 0))
    return fail(error, PW_ERROR_RECORD, "the size of the picture is not known");
  return TRUE;
}

static void
init_camera(PwScale *scale)
{
  const PwScaleInput *in = &scale->input;
  scale->principal = in->lens.f_px > 0 ? (PwPx){in->lens.cx, in->lens.cy}
                                       : (PwPx){in->picture_width / 2, in->picture_height / 2};
  scale->half_diagonal = hypot(in->picture_width, in->picture_height) / 2;
}

static PwFigures
estimates(const PwScaleInput *in)
{
  PwFigures figures = {.offset_mm = in->plane_offset_mm, .distance = 1};
  figures.print[0] = isnan(in->print_along) ? 1 : in->print_along;
  figures.print[1] = isnan(in->print_across) ? 1 : in->print_across;
  if (in->method == PW_SCALE_SPAN || in->method == PW_SCALE_TICKS) {
    figures.points[0] = in->from;
    figures.points[1] = in->to;
    figures.sides[0] = in->length_mm;
    return figures;
  }
  memcpy(figures.points, in->corners, sizeof figures.points);
  figures.sides[0] = in->width_mm;
  figures.sides[1] = in->height_mm;
  return figures;
}

/* Origin where the card's middle is seen, x along the picture's x there. */
static void
set_frame(PwMap *map, PwPx middle)
{
  double j[4], x, y;
  pw_homography_jacobian(&map->h, middle.x, middle.y, j);
  pw_homography_apply(&map->h, middle.x, middle.y, &x, &y);
  double length = hypot(j[0], j[2]), c = j[0] / length, s = j[2] / length;
  PwHomography turn = {{c, s, -c * x - s * y, -s, c, s * x - c * y, 0, 0, 1}};
  pw_homography_multiply(&turn, &map->h, &map->h);
}

static void
set_pose(PwScale *scale, const PwSeenCard *card)
{
  PwScaleFacts *facts = &scale->facts;
  PwPose pose;
  double c = pw_principal_distance_px(scale, pw_mm_per_px_at(&card->h, card->middle));
  facts->tilt_deg = facts->camera_distance_mm = nan("");
  if (card->distance_known)
    facts->camera_distance_mm = card->distance_mm;
  if (!pw_scale_is_line(scale) && c > 0 && pw_pose_of(&card->h, c, scale->principal, &pose))
    facts->tilt_deg = pose.tilt_rad * 180 / G_PI;
}

/* Seen from behind, or tags that are not where the design has them. */
static gboolean
is_mirrored(const PwSeenCard *card)
{
  double j[4];
  pw_homography_jacobian(&card->h, card->middle.x, card->middle.y, j);
  return j[0] * j[3] - j[1] * j[2] < 0;
}

/* By the effects, which leave the principal distance as it is, and by that distance itself; each
 * along the misfit's own direction, the first order of its length. */
static void
set_misfit(PwScale *scale, const PwSeenCard *card)
{
  PwScaleFacts *facts = &scale->facts;
  double c = pw_principal_distance_px(scale, pw_mm_per_px_at(&card->h, card->middle));
  double u = scale->uncertainty.by[PW_INPUT_DISTANCE] / 100 / sqrt(3), variance = 0;
  facts->misfit_percent = facts->misfit_u_percent = nan("");
  if (isnan(facts->tilt_deg))
    return;
  PwMisfit misfit = pw_misfit_of(&card->h, c, scale->principal);
  double length = hypot(misfit.x, misfit.y);
  PwMisfit along = length > 0 ? (PwMisfit){misfit.x / length, misfit.y / length} : (PwMisfit){1, 0};
  for (guint e = 0; e <= scale->n_effects; e++) {
    gboolean last = e == scale->n_effects;
    const PwHomography *up = last ? &card->h : &scale->effects[e].up.h;
    const PwHomography *down = last ? &card->h : &scale->effects[e].down.h;
    PwMisfit a = pw_misfit_of(up, last ? c * (1 + u) : c, scale->principal);
    PwMisfit b = pw_misfit_of(down, last ? c * (1 - u) : c, scale->principal);
    double half = ((a.x - b.x) * along.x + (a.y - b.y) * along.y) / 2;
    variance += half * half;
  }
  facts->misfit_percent = 100 * length;
  facts->misfit_u_percent = 100 * sqrt(variance);
}

static gboolean
init_scale(PwScale *scale, GError **error)
{
  PwFigures figures = estimates(&scale->input);
  PwSeenCard card;
  init_camera(scale);
  if (!pw_fit_card(scale, &figures, &card, error))
    return FALSE;
  if (is_mirrored(&card))
    return fail(error, PW_ERROR_NUMERIC, "the card is seen mirrored");
  if (!card.distance_known && fabs(figures.offset_mm) > 0)
    return fail(error, PW_ERROR_RECORD,
                "no camera distance: a plane-offset other than 0 needs camera-distance, or a "
                "photograph as the camera stored it, whose EXIF tells focal length and picture "
                "size");
  if (!pw_fit(scale, &figures, &scale->map, error))
    return FALSE;
  set_frame(&scale->map, card.middle);
  scale->facts =
      (PwScaleFacts){.method = scale->input.method,
                     .homography = scale->map.h,
                     .mm_per_px = pw_mm_per_px_at(&scale->map.h, card.middle),
                     .fit_rms_px = card.fit_rms_px,
                     .fit_rms_mm = card.fit_rms_px * pw_mm_per_px_at(&card.h, card.middle),
                     .plane_offset_mm = figures.offset_mm,
                     .lens = scale->input.lens};
  set_pose(scale, &card);
  if (!pw_add_effects(scale, &figures, &card, error))
    return FALSE;
  set_misfit(scale, &card);
  return TRUE;
}

static PwScale *
scale_new(const PwScaleInput *input, const PwUncertainty *uncertainty, PwScope scope, guint owner,
          GError **error)
{
  if (!check_input(input, uncertainty, error))
    return NULL;
  g_autoptr(PwScale) scale = g_new0(PwScale, 1);
  scale->input = *input;
  scale->tag_px = g_memdup2(input->tag_px, input->n_tag_points * sizeof *input->tag_px);
  scale->tag_mm = g_memdup2(input->tag_mm, input->n_tag_points * sizeof *input->tag_mm);
  scale->input.tag_px = scale->tag_px;
  scale->input.tag_mm = scale->tag_mm;
  scale->uncertainty = *uncertainty;
  scale->offset_scope = scope;
  scale->offset_owner = owner;
  return init_scale(scale, error) ? g_steal_pointer(&scale) : NULL;
}

PwScale *
pw_scale_new(const PwScaleInput *input, const PwUncertainty *uncertainty, GError **error)
{
  return scale_new(input, uncertainty, PW_SCOPE_PHOTO, input->photo_owner, error);
}

PwScale *
pw_scale_new_at_offset(const PwScale *scale, double plane_offset_mm, PwScope scope, guint owner,
                       GError **error)
{
  PwScaleInput input = scale->input;
  input.plane_offset_mm = plane_offset_mm;
  return scale_new(&input, &scale->uncertainty, scope, owner, error);
}

void
pw_scale_free(PwScale *scale)
{
  if (scale == NULL)
    return;
  g_free(scale->tag_px);
  g_free(scale->tag_mm);
  g_free(scale);
}

void
pw_scale_facts(const PwScale *scale, PwScaleFacts *facts)
{
  *facts = scale->facts;
}

gboolean
pw_scale_disagrees(const PwScaleFacts *facts)
{
  return facts->misfit_percent > WORTH_TELLING_PERCENT &&
         facts->misfit_percent > DOUBT * facts->misfit_u_percent;
}

gboolean
pw_scale_is_bent(const PwScaleFacts *facts)
{
  return facts->fit_rms_px > FLAT_RMS_PX;
}

gboolean
pw_scale_map(const PwScale *scale, PwPx at, PwMm *mm)
{
  PwPx undistorted;
  return pw_lens_undistort(&scale->input.lens, at, &undistorted) &&
         pw_map_apply(&scale->map, scale->principal, undistorted, mm);
}

void
pw_scale_jacobian(const PwScale *scale, PwPx undistorted, double j[4])
{
  double plane[4], lens[4];
  pw_homography_jacobian(&scale->map.h, undistorted.x, undistorted.y, plane);
  pw_lens_jacobian(&scale->input.lens, undistorted, lens);
  /* The lens jacobian leads from undistorted to distorted px; we come the other way. */
  double determinant = lens[0] * lens[3] - lens[1] * lens[2];
  double back[4] = {lens[3] / determinant, -lens[1] / determinant, -lens[2] / determinant,
                    lens[0] / determinant};
  j[0] = plane[0] * back[0] + plane[1] * back[2];
  j[1] = plane[0] * back[1] + plane[1] * back[3];
  j[2] = plane[2] * back[0] + plane[3] * back[2];
  j[3] = plane[2] * back[1] + plane[3] * back[3];
}
