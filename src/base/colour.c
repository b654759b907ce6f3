/* Colours as people see them apart: sRGB to CIELAB, and the CIEDE2000 difference. */
#include <platewright/base.h>

#include <math.h>

double
pw_srgb_light(guint8 sample)
{
  double v = sample / 255.0;
  return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

/* CIE 15: the cube root, and a straight line near black. */
static double
lab_root(double t)
{
  const double epsilon = 216.0 / 24389, kappa = 24389.0 / 27;
  return t > epsilon ? cbrt(t) : (kappa * t + 16) / 116;
}

PwLab
pw_lab_from_light(const double light[3])
{
  /* IEC 61966-2-1 to XYZ, then Bradford from D65 to D50, each row over the white's own X, Y, Z (the
   * row's sum), so that equal r, g and b are without colour. */
  static const double to_xyz[3][3] = {{0.4360747, 0.3850649, 0.1430804},
                                      {0.2225045, 0.7168786, 0.0606169},
                                      {0.0139322, 0.0971045, 0.7141733}};
  double f[3];
  for (int i = 0; i < 3; i++) {
    const double *row = to_xyz[i];
    double sum = row[0] * light[0] + row[1] * light[1] + row[2] * light[2];
    f[i] = lab_root(sum / (row[0] + row[1] + row[2]));
  }
  return (PwLab){116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])};
}

static double
power7(double x)
{
  double cube = x * x * x;
  return cube * cube * x;
}

/* sqrt(C^7 / (C^7 + 25^7)) */
static double
share_of_chroma(double chroma)
{
  double c7 = power7(chroma);
  return sqrt(c7 / (c7 + 6103515625.0));
}

/* Degrees, 0 to 360; 0 without colour. */
static double
hue_of(double a, double b)
{
  double h = hypot(a, b) > 0 ? atan2(b, a) * 180 / G_PI : 0;
  return h < 0 ? h + 360 : h;
}

static double
cosine_deg(double degrees)
{
  return cos(degrees * G_PI / 180);
}

/* The way from hue p to hue q, the shorter one, -180 to 180. */
static double
hue_step(double p, double q)
{
  double step = q - p;
  return step > 180 ? step - 360 : step < -180 ? step + 360 : step;
}

/* ISO/CIE 11664-6; the equations' order as in G. Sharma, W. Wu and E. N. Dalal, The CIEDE2000
 * color-difference formula, Color Research and Application 30 (2005). */
double
pw_lab_difference(PwLab p, PwLab q)
{
  double g = 0.5 * (1 - share_of_chroma((hypot(p.a, p.b) + hypot(q.a, q.b)) / 2));
  double pa = (1 + g) * p.a, qa = (1 + g) * q.a;
  double pc = hypot(pa, p.b), qc = hypot(qa, q.b);
  double ph = hue_of(pa, p.b), qh = hue_of(qa, q.b);
  gboolean grey = !(pc * qc > 0);
  double step = grey ? 0 : hue_step(ph, qh);
  double light = q.L - p.L, chroma = qc - pc;
  double hue = 2 * sqrt(pc * qc) * sin(step / 2 * G_PI / 180);
  double mean_l = (p.L + q.L) / 2, mean_c = (pc + qc) / 2;
  double mean_h = grey ? ph + qh : ph + step / 2;
  mean_h = mean_h < 0 ? mean_h + 360 : mean_h >= 360 && !grey ? mean_h - 360 : mean_h;
  double t = 1 - 0.17 * cosine_deg(mean_h - 30) + 0.24 * cosine_deg(2 * mean_h) +
             0.32 * cosine_deg(3 * mean_h + 6) - 0.20 * cosine_deg(4 * mean_h - 63);
  double from_50 = (mean_l - 50) * (mean_l - 50);
  double s_l = 1 + 0.015 * from_50 / sqrt(20 + from_50);
  double s_c = 1 + 0.045 * mean_c, s_h = 1 + 0.015 * mean_c * t;
  double blue = (mean_h - 275) / 25;
  double turn = -sin(60 * exp(-blue * blue) * G_PI / 180) * 2 * share_of_chroma(mean_c);
  double l = light / s_l, c = chroma / s_c, h = hue / s_h;
  return sqrt(fmax(l * l + c * c + h * h + turn * c * h, 0));
}
