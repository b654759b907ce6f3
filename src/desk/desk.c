/* The desk's life: its secrets, its port, its address. */
#include "desk-private.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

/* Ports that no service is registered for; the folder chooses one of them, so that the page finds
 * the browser's storage of yesterday again, which belongs to the port. */
enum { FIRST_PORT = 49152, N_PORTS = 16000, PORTS_TRIED = 100 };

char **
pw_desk_dup_lan_addresses(const PwDesk *desk)
{
  g_auto(GStrv) hosts = desk->lan ? desk_lan_dup_addresses() : g_new0(char *, 1);
  g_autoptr(GPtrArray) addresses = g_ptr_array_new();
  for (char **host = hosts; *host; host++)
    g_ptr_array_add(addresses,
                    g_strdup_printf("http://%s:%d/?token=%s", *host, desk->port, desk->token));
  g_ptr_array_add(addresses, NULL);
  return (char **)g_ptr_array_free(g_steal_pointer(&addresses), FALSE);
}

const char *
pw_desk_peek_address(const PwDesk *desk)
{
  return desk->address;
}

/* The folder of the volume, by its real name. */
static char *
dup_real_folder(const char *path, GError **error)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwModelOptions options = {0};
  if (g_file_test(path, G_FILE_TEST_IS_DIR)) {
    char *real = realpath(path, NULL);
    if (real == NULL)
      g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: %s", path, g_strerror(errno));
    char *folder = g_strdup(real);
    free(real);
    return folder;
  }
  g_autoptr(PwModel) model = pw_model_open(path, &options, complaints, error);
  if (model == NULL)
    return NULL;
  return dup_real_folder(pw_model_peek_folder(model), error);
}

PwDesk *
desk_new(const char *path, GError **error)
{
  g_autoptr(PwDesk) desk = g_new0(PwDesk, 1);
  g_mutex_init(&desk->keys_lock);
  g_mutex_init(&desk->saving);
  g_mutex_init(&desk->making);
  g_mutex_init(&desk->touches_lock);
  desk->touches = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  desk_page_register_resource();
  desk->folder = dup_real_folder(path, error);
  if (desk->folder == NULL || (desk->token = desk_dup_secret(error)) == NULL ||
      (desk->secret = desk_dup_secret(error)) == NULL ||
      (desk->shelf = desk_shelf_new(desk->folder, error)) == NULL)
    return NULL;
  desk->tiler = desk_tiler_new(desk->shelf);
  return g_steal_pointer(&desk);
}

void
desk_free(PwDesk *desk)
{
  if (desk == NULL)
    return;
  desk_tiler_free(desk->tiler);
  desk_shelf_free(desk->shelf);
  for (guint i = 0; i < DESK_KEYS; i++)
    g_free(desk->keys[i]);
  g_mutex_clear(&desk->keys_lock);
  g_mutex_clear(&desk->saving);
  g_mutex_clear(&desk->making);
  g_mutex_clear(&desk->touches_lock);
  g_hash_table_unref(desk->touches);
  g_free(desk->cookie);
  g_free(desk->secret);
  g_free(desk->token);
  g_free(desk->address);
  g_free(desk->folder);
  g_free(desk);
}

void
desk_take_port(PwDesk *desk, int port)
{
  desk->port = port;
  g_free(desk->cookie);
  desk->cookie = g_strdup_printf("desk-%d", port);
}

/* Serves on the port asked for, or the folder's own, or the next that is free. */
static gboolean
serve(PwDesk *desk, int asked, GError **error)
{
  if (asked != 0) {
    desk->http = desk_http_start(desk, asked == PW_DESK_ANY_PORT ? 0 : asked, error);
    return desk->http != NULL;
  }
  const int own = (int)(g_str_hash(desk->folder) % N_PORTS);
  for (int i = 0; i < PORTS_TRIED && desk->http == NULL; i++) {
    g_clear_error(error);
    desk->http = desk_http_start(desk, FIRST_PORT + (own + i) % N_PORTS, error);
  }
  return desk->http != NULL;
}

PwDesk *
pw_desk_start(const char *folder, const PwDeskOptions *options, GError **error)
{
  if (options->port < PW_DESK_ANY_PORT || options->port > 65535) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a port is a number from 1 to 65535");
    return NULL;
  }
  g_autoptr(PwDesk) desk = desk_new(folder, error);
  if (desk == NULL)
    return NULL;
  desk->lan = options->lan;
  if (!serve(desk, options->port, error))
    return NULL;
  desk->address = g_strdup_printf("http://127.0.0.1:%d/?token=%s", desk->port, desk->token);
  return g_steal_pointer(&desk);
}

void
pw_desk_stop(PwDesk *desk)
{
  if (desk == NULL)
    return;
  desk_http_stop(desk->http);
  desk_free(desk);
}
