#include "pinhole.h"

#include <math.h>

/* ---- Dice -------------------------------------------------------------------------- */

double
dice_even(Dice *dice)
{
  *dice = *dice * 6364136223846793005u + 1442695040888963407u;
  return ((double)(*dice >> 11) + 0.5) / 9007199254740992.0;
}

double
dice_between(Dice *dice, double half_width)
{
  return half_width * (2 * dice_even(dice) - 1);
}

double
dice_normal(Dice *dice, double sigma)
{
  double u = dice_even(dice), v = dice_even(dice); /* Box and Muller */
  return sigma * sqrt(-2 * log(u)) * cos(2 * G_PI * v);
}

/* ---- The camera -------------------------------------------------------------------- */

static Vec
turned(Vec v, double about_x, double about_y, double about_z)
{
  Vec a = {v.x * cos(about_z) - v.y * sin(about_z), v.x * sin(about_z) + v.y * cos(about_z), v.z};
  Vec b = {a.x, a.y * cos(about_x) - a.z * sin(about_x), a.y * sin(about_x) + a.z * cos(about_x)};
  return (Vec){b.x * cos(about_y) + b.z * sin(about_y), b.y,
               -b.x * sin(about_y) + b.z * cos(about_y)};
}

void
pinhole_lean(Pinhole *pinhole, double about_x, double about_y, double about_z)
{
  pinhole->right = turned((Vec){1, 0, 0}, about_x, about_y, about_z);
  pinhole->down = turned((Vec){0, 1, 0}, about_x, about_y, about_z);
  pinhole->nearer = turned((Vec){0, 0, -1}, about_x, about_y, about_z);
}

PwPx
pinhole_straightened(const Pinhole *pinhole, PwPx seen)
{
  double corner2 = (pinhole->width * pinhole->width + pinhole->height * pinhole->height) / 4;
  double r2 = (seen.x * seen.x + seen.y * seen.y) / corner2;
  return (PwPx){seen.x * (1 + pinhole->lens * r2), seen.y * (1 + pinhole->lens * r2)};
}

PwPx
pinhole_seen(const Pinhole *pinhole, double x, double y, double height)
{
  const Vec *o = &pinhole->middle, *a = &pinhole->right, *b = &pinhole->down, *n = &pinhole->nearer;
  Vec p = {o->x + x * a->x + y * b->x + height * n->x, o->y + x * a->y + y * b->y + height * n->y,
           o->z + x * a->z + y * b->z + height * n->z};
  PwPx straight = {pinhole->c * p.x / p.z, pinhole->c * p.y / p.z}, seen = straight;
  for (int i = 0; i < 30; i++) {
    PwPx back = pinhole_straightened(pinhole, seen);
    seen.x += straight.x - back.x;
    seen.y += straight.y - back.y;
  }
  return (PwPx){pinhole->width / 2 + seen.x, pinhole->height / 2 + seen.y};
}

/* ---- The hand ---------------------------------------------------------------------- */

void
hand_keeps_outside(const PwPx *ring, int n, double by, PwPx *out)
{
  for (int i = 0; i < n; i++) {
    PwPx a = ring[(i + n - 1) % n], b = ring[i], c = ring[(i + 1) % n];
    double l1 = hypot(b.x - a.x, b.y - a.y), l2 = hypot(c.x - b.x, c.y - b.y);
    double n1x = (b.y - a.y) / l1, n1y = -(b.x - a.x) / l1;
    double n2x = (c.y - b.y) / l2, n2y = -(c.x - b.x) / l2;
    double det = n1x * n2y - n1y * n2x;
    out[i] = (PwPx){b.x + by * (n2y - n1y) / det, b.y + by * (n1x - n2x) / det};
  }
}
