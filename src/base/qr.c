/* QR codes (ISO/IEC 18004) as the plane of modules they are made of; what is drawn of it, and how
 * wide the light margin, is the drawer's business. */
#include <platewright/base.h>

#include <errno.h>
#include <qrencode.h>
#include <string.h>

/* Readers guess what bytes beyond ASCII mean, and guess wrong, unless the code says that they are
 * UTF-8: ECI assignment 26 (AIM ITS/04-023, from memory). NULL with the reason in errno. */
static QRcode *
encode(const char *text)
{
  enum { ECI_UTF_8 = 26 };
  if (g_str_is_ascii(text))
    return QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
  QRcode *code = NULL;
  QRinput *input = QRinput_new2(0, QR_ECLEVEL_M);
  if (input && QRinput_appendECIheader(input, ECI_UTF_8) == 0 &&
      QRinput_append(input, QR_MODE_8, (int)strlen(text), (const unsigned char *)text) == 0)
    code = QRcode_encodeInput(input);
  const int reason = errno;
  QRinput_free(input);
  errno = reason;
  return code;
}

PwQr *
pw_qr_new(const char *text, GError **error)
{
  QRcode *code = encode(text);
  if (code == NULL) {
    g_set_error(error, PW_ERROR, errno == ERANGE ? PW_ERROR_LIMIT : PW_ERROR_USE,
                "no QR code holds a text of %" G_GSIZE_FORMAT " bytes", strlen(text));
    return NULL;
  }
  PwQr *qr = g_new0(PwQr, 1);
  const gsize n = (gsize)code->width * (gsize)code->width;
  qr->side = code->width;
  qr->dark = g_new(gboolean, n);
  for (gsize i = 0; i < n; i++)
    qr->dark[i] = (code->data[i] & 1) != 0; /* the other bits say what the module is for */
  QRcode_free(code);
  return qr;
}

void
pw_qr_free(PwQr *qr)
{
  if (qr == NULL)
    return;
  g_free(qr->dark);
  g_free(qr);
}

gboolean
pw_qr_is_dark(const PwQr *qr, int x, int y)
{
  return x >= 0 && y >= 0 && x < qr->side && y < qr->side && qr->dark[y * qr->side + x];
}
