/* This machine in its network: the addresses it has, and an address as a picture for a tablet. */
#include "desk-private.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>

char **
desk_lan_dup_addresses(void)
{
  g_autoptr(GPtrArray) addresses = g_ptr_array_new();
  struct ifaddrs *all = NULL;
  if (getifaddrs(&all) != 0)
    all = NULL;
  for (struct ifaddrs *at = all; at; at = at->ifa_next) {
    char text[INET_ADDRSTRLEN];
    if (at->ifa_addr == NULL || at->ifa_addr->sa_family != AF_INET ||
        (at->ifa_flags & IFF_LOOPBACK) != 0 || (at->ifa_flags & IFF_UP) == 0)
      continue;
    const struct sockaddr_in *in = (const struct sockaddr_in *)(const void *)at->ifa_addr;
    if (inet_ntop(AF_INET, &in->sin_addr, text, sizeof text) != NULL)
      g_ptr_array_add(addresses, g_strdup(text));
  }
  if (all)
    freeifaddrs(all);
  g_ptr_array_add(addresses, NULL);
  return (char **)g_ptr_array_free(g_steal_pointer(&addresses), FALSE);
}

/* ---- The QR code ------------------------------------------------------------------- */

/* Two modules stand one above the other in a character. Ink and ground are both set, so that the
 * code is dark on light whatever the terminal's own colours. */
static void
append_row(GString *text, const PwQr *code, int y)
{
  static const char *const blocks[] = {" ", "▄", "▀", "█"}; /* by upper and lower */
  g_string_append(text, "\x1b[38;5;16;48;5;231m");
  for (int x = -PW_QR_QUIET; x < code->side + PW_QR_QUIET; x++)
    g_string_append(text, blocks[2 * pw_qr_is_dark(code, x, y) + pw_qr_is_dark(code, x, y + 1)]);
  g_string_append(text, "\x1b[0m\n");
}

char *
pw_desk_dup_qr(const char *address)
{
  g_autoptr(PwQr) code = pw_qr_new(address, NULL);
  if (code == NULL)
    return NULL;
  GString *text = g_string_new(NULL);
  for (int y = -PW_QR_QUIET; y < code->side + PW_QR_QUIET; y += 2)
    append_row(text, code, y);
  return g_string_free(text, FALSE);
}
