/* A sidecar with every key: each value arrives where the header says.
 */
#include "fixtures.h"

#include <math.h>

static PwSidecar *
read_good(PwComplaints *complaints)
{
  g_autofree char *path = fixture("good/every-key.jpg.yaml");
  g_autoptr(GError) error = NULL;
  PwSidecar *sidecar = pw_sidecar_read(path, "after/every-key.jpg", complaints, &error);
  assert_null(error);
  assert_non_null(sidecar);
  assert_no_complaint(complaints);
  return sidecar;
}

static void
test_photo(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwSidecar) sidecar = read_good(complaints);
  assert_string_equal(sidecar->file, "after/every-key.jpg");
  assert_string_equal(sidecar->name, "after/every-key.jpg.yaml");
  assert_string_equal(sidecar->taken, "2026-05-18T09:30:00.25+01:00");
  assert_int_equal(strlen(sidecar->sha256), 64);
  assert_int_equal(sidecar->width, 6000);
  assert_int_equal(sidecar->height, 4000);
  assert_string_equal(sidecar->source, "studio");
  assert_int_equal(sidecar->stage, PW_STAGE_AFTER);
  assert_string_equal(sidecar->step, "spine lining lifted # 2");
  assert_string_equal(sidecar->view, "front board");
  assert_string_equal(sidecar->place, "f. 12r");
  assert_string_equal(sidecar->light, "raking from left");
  assert_string_equal(sidecar->caption, "Front board after treatment; ‘loss’ filled");
  assert_int_equal(g_date_get_day(&sidecar->privacy_checked), 19);
  assert_false(sidecar->curved);
  assert_int_equal(sidecar->surface.n, 4);
  assert_int_equal(sidecar->neutral.n, 4);
  assert_int_equal(sidecar->chart_corners.n, 4);
  assert_string_equal(sidecar->chart_lab, "charts/our card.csv");
  assert_int_equal(sidecar->n_uncertainty, 2);
  assert_string_equal(sidecar->uncertainty[1].name, "plane-offset");
  assert_true(same(sidecar->uncertainty[1].value, 0.5));
  assert_int_equal(sidecar->n_ties, 4);
  assert_true(same(sidecar->ties[3].there.x, 122) && same(sidecar->ties[3].here.y, 3900));
}

static void
test_scale(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwSidecar) sidecar = read_good(complaints);
  const PwScaleText *scale = &sidecar->scale;
  assert_non_null(scale->node);
  assert_int_equal(scale->given, PW_GIVEN_RECTANGLE);
  assert_true(same(scale->corners[2].x, 1090) && same(scale->corners[2].y, 740));
  assert_true(same(scale->width, 85.60) && same(scale->height, 53.98) &&
              same(scale->tolerance, 0.1));
  assert_true(isnan(scale->length) && isnan(scale->pitch));
  assert_non_null(scale->plane_offset.node);
  assert_true(scale->plane_offset.thickness && isnan(scale->plane_offset.mm));
  assert_true(same(scale->camera_distance, 900));
}

static void
test_marks(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwSidecar) sidecar = read_good(complaints);
  assert_int_equal(sidecar->n_marks, 7);
  const PwMark *m = sidecar->marks;
  assert_string_equal(m[0].id, "1");
  assert_string_equal(m[0].term, "loss");
  assert_string_equal(m[0].part, "spine leather");
  assert_int_equal(m[0].kind, PW_KIND_AREA);
  assert_int_equal(m[0].path.n, 4);
  assert_int_equal(m[0].n_holes, 1);
  assert_true(same(m[0].holes[0].points[2].y, 920));
  assert_int_equal(m[0].severity, 2);
  assert_int_equal(m[0].count, 1);
  assert_int_equal(m[0].basis, PW_BASIS_INFERRED);
  assert_string_equal(m[0].earlier, "before/IMG_2041.jpg#1");
  assert_null(m[0].plane_offset.node);
  assert_int_equal(m[1].kind, PW_KIND_LINE);
  assert_int_equal(m[1].basis, PW_BASIS_TESTED);
  assert_int_equal(m[1].severity, 0);
  assert_int_equal(m[2].kind, PW_KIND_POINT);
  assert_int_equal(m[2].count, 2);
  assert_true(m[3].private_ && !m[3].gone);
  assert_string_equal(m[4].same_as, "after/IMG_2156.jpg#3");
  assert_true(m[5].gone && m[5].path.n == 0);
  assert_null(m[6].part);
  assert_string_equal(m[6].card, "second");
  assert_true(same(m[6].plane_offset.mm, 12) && !m[6].plane_offset.thickness);
}

/* A later minor format: what is not known is kept, with one warning for it and one for the file. */
static void
test_later_minor(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autofree char *path = fixture("good/later-minor.jpg.yaml");
  g_autoptr(PwSidecar) sidecar = pw_sidecar_read(path, "x.jpg", complaints, NULL);
  assert_non_null(sidecar);
  assert_int_equal(sidecar->stage, PW_STAGE_BEFORE);
  assert_int_equal(pw_complaints_n(complaints), 2);
  assert_int_equal(pw_complaints_count(complaints, PW_SEVERITY_ERROR), 0);
  assert_string_equal(pw_complaints_peek(complaints, 1)->kind, "unknown key");
  assert_int_equal(pw_complaints_peek(complaints, 1)->line, 3);
}

/* A missing file is a GError, not a complaint. */
static void
test_no_file(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_autofree char *path = fixture("good/there-is-none.yaml");
  assert_null(pw_sidecar_read(path, "x.jpg", complaints, &error));
  assert_non_null(error);
  assert_int_equal(pw_complaints_n(complaints), 0);
}

static void
test_references(void **state)
{
  (void)state;
  char *file = NULL, *id = NULL;
  assert_true(pw_reference_split("a/b #1.jpg#3b", &file, &id));
  assert_string_equal(file, "a/b #1.jpg");
  assert_string_equal(id, "3b");
  g_free(file);
  g_free(id);
  assert_false(pw_reference_split("a.jpg", &file, &id));
  assert_false(pw_reference_split("#3", &file, &id));
  assert_false(pw_reference_split("a.jpg#", &file, &id));
}

static void
test_names(void **state)
{
  (void)state;
  assert_string_equal(pw_stage_name(PW_STAGE_DURING), "during");
  assert_string_equal(pw_stage_name(PW_STAGE_NONE), "");
  assert_string_equal(pw_basis_name(PW_BASIS_REPORTED), "reported");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_photo),   cmocka_unit_test(test_scale),
      cmocka_unit_test(test_marks),   cmocka_unit_test(test_later_minor),
      cmocka_unit_test(test_no_file), cmocka_unit_test(test_references),
      cmocka_unit_test(test_names),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
