/* The server: libmicrohttpd, one thread a connection, so that a long answer keeps nobody waiting.
 *
 * What is not trusted is bounded here: how many connections there are, how much memory one has, how
 * long a request may take to arrive and an answer to leave. The library ends connections on which
 * nothing moves; one that drips a byte a second is ended by our own watch, by the time alone.
 *
 * What is no HTTP (a request line that is none, a head that is too large, no Host, a chunk without
 * a length) the library answers itself, before we are asked, with a page of its own and without our
 * headers. It has no option to change either (0.9.75 has none). Those pages are fixed texts: they
 * hold nothing of the record and repeat nothing of the request, and the connection ends with them.
 */
#include "desk-private.h"

#include <arpa/inet.h>
#include <errno.h>
#include <microhttpd.h>
#include <poll.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

enum {
  MOST_CONNECTIONS = 96,
  MOST_OF_ONE_ADDRESS = 32,     /* a browser has six */
  CONNECTION_BYTES = 32 * 1024, /* the head of a request, and of its answer */
  IDLE_S = 15,
  ARRIVING_S = 20, /* a whole request, from the end of the one before */
  LEAVING_S = 60,  /* a whole answer */
  STOPPING_S = 10, /* for what runs when we are told to stop */
  WATCH_MS = 500,
  BACKLOG = 64
};

typedef enum { ARRIVING, RUNNING, LEAVING } Phase;

/* One connection; `begun` since when it is in its phase. */
typedef struct {
  int fd;
  Phase phase;
  gboolean in_request; /* its head has come */
  gint64 begun_us;
  gint stop; /* atomic: nobody waits for the answer */
} Line;

struct DeskHttp {
  PwDesk *desk;
  struct MHD_Daemon *daemon;
  GMutex lock; /* of the lines */
  GCond moved;
  GPtrArray *lines; /* Line * */
  gboolean ending;  /* what waits to be made is not made any longer */
  gboolean stopping;
  GThread *watch;
};

/* ---- Lines ------------------------------------------------------------------------- */

static void
enter(DeskHttp *http, Line *line, Phase phase, gboolean in_request)
{
  g_mutex_lock(&http->lock);
  line->phase = phase;
  line->in_request = in_request;
  line->begun_us = g_get_monotonic_time();
  g_cond_broadcast(&http->moved);
  g_mutex_unlock(&http->lock);
}

static gboolean
is_overdue(const Line *line, gint64 now_us)
{
  gint64 age_s = (now_us - line->begun_us) / G_USEC_PER_SEC;
  return (line->phase == ARRIVING && age_s >= ARRIVING_S) ||
         (line->phase == LEAVING && age_s >= LEAVING_S);
}

static void
cut_overdue(DeskHttp *http)
{
  gint64 now = g_get_monotonic_time();
  for (guint i = 0; i < http->lines->len; i++) {
    const Line *line = http->lines->pdata[i];
    if (is_overdue(line, now))
      shutdown(line->fd, SHUT_RDWR); /* its thread wakes and closes it */
  }
}

/* While an answer is made nobody reads from its line: that the other end is gone is seen here. */
static void
note_gone(DeskHttp *http)
{
  for (guint i = 0; i < http->lines->len; i++) {
    Line *line = http->lines->pdata[i];
    struct pollfd look = {.fd = line->fd, .events = POLLRDHUP};
    if (line->phase == RUNNING && poll(&look, 1, 0) > 0)
      g_atomic_int_set(&line->stop, 1);
  }
}

static gpointer
watch(gpointer user)
{
  DeskHttp *http = user;
  g_mutex_lock(&http->lock);
  while (!http->stopping) {
    cut_overdue(http);
    note_gone(http);
    gint64 until = g_get_monotonic_time() + WATCH_MS * G_TIME_SPAN_MILLISECOND;
    while (!http->stopping && g_cond_wait_until(&http->moved, &http->lock, until))
      ;
  }
  g_mutex_unlock(&http->lock);
  return NULL;
}

static void
on_connection(void *user, struct MHD_Connection *connection, void **context,
              enum MHD_ConnectionNotificationCode what)
{
  DeskHttp *http = user;
  if (what == MHD_CONNECTION_NOTIFY_STARTED) {
    Line *line = g_new0(Line, 1);
    line->fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
    line->begun_us = g_get_monotonic_time();
    g_mutex_lock(&http->lock);
    g_ptr_array_add(http->lines, line);
    g_mutex_unlock(&http->lock);
    *context = line;
    return;
  }
  g_mutex_lock(&http->lock);
  g_ptr_array_remove_fast(http->lines, *context);
  g_cond_broadcast(&http->moved);
  g_mutex_unlock(&http->lock);
  g_free(*context);
}

static Line *
line_of(struct MHD_Connection *connection)
{
  return MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT)->socket_context;
}

/* ---- One request ------------------------------------------------------------------- */

typedef struct {
  DeskAsk ask;
  DeskAnswer *refusal; /* decided by the head; told when the body is over */
  GByteArray *body;
  gboolean too_large;
} Sitting;

static const char *
header(struct MHD_Connection *connection, const char *name)
{
  return MHD_lookup_connection_value(connection, MHD_HEADER_KIND, name);
}

static const char *
argument(struct MHD_Connection *connection, const char *name)
{
  return MHD_lookup_connection_value(connection, MHD_GET_ARGUMENT_KIND, name);
}

/* Where nobody waits for the answer is told; where the server ends nobody does. */
static gint *
begin_stop(DeskHttp *http, Line *line)
{
  g_mutex_lock(&http->lock);
  g_atomic_int_set(&line->stop, http->ending);
  g_mutex_unlock(&http->lock);
  return &line->stop;
}

/* What a body that is announced is going to be; one that is not is counted as it comes. */
static gsize
announced_length(struct MHD_Connection *connection)
{
  gint64 value;
  const char *length = header(connection, "Content-Length");
  if (length == NULL || !pw_parse_int(length, &value) || value < 0)
    return 0;
  return (gsize)value;
}

static Sitting *
sit_down(DeskHttp *http, struct MHD_Connection *connection, const char *url, const char *method)
{
  Sitting *sitting = g_new0(Sitting, 1);
  sitting->ask = (DeskAsk){
      .method = method,
      .path = url,
      .host = header(connection, "Host"),
      .origin = header(connection, "Origin"),
      .fetch_site = header(connection, "Sec-Fetch-Site"),
      .cookie = MHD_lookup_connection_value(connection, MHD_COOKIE_KIND, http->desk->cookie),
      .key = header(connection, "Desk-Key"),
      .if_match = header(connection, "If-Match"),
      .content_type = header(connection, "Content-Type"),
      .token = argument(connection, "token"),
      .width = argument(connection, "w"),
      .page = argument(connection, "page"),
      .style = argument(connection, "style"),
      .only = argument(connection, "only"),
      .length = announced_length(connection),
      .stop = begin_stop(http, line_of(connection)),
  };
  sitting->body = g_byte_array_new();
  sitting->refusal = desk_guard(http->desk, &sitting->ask);
  return sitting;
}

static void
sitting_free(Sitting *sitting)
{
  desk_answer_free(sitting->refusal);
  g_byte_array_unref(sitting->body);
  g_free(sitting);
}

static void
take_part(Sitting *sitting, const char *data, gsize length)
{
  if (sitting->refusal != NULL || sitting->too_large)
    return;
  sitting->too_large = sitting->body->len + length > DESK_BODY_BYTES;
  if (!sitting->too_large)
    g_byte_array_append(sitting->body, (const guint8 *)data, (guint)length);
}

static DeskAnswer *
answer_sitting(DeskHttp *http, Sitting *sitting)
{
  if (sitting->refusal != NULL)
    return g_steal_pointer(&sitting->refusal);
  if (sitting->too_large)
    return desk_answer_says(413, "a request has at most %d MiB", DESK_BODY_BYTES / 1024 / 1024);
  sitting->ask.length = sitting->body->len;
  g_byte_array_append(sitting->body, (const guint8 *)"", 1);
  sitting->ask.body = (const char *)sitting->body->data;
  return desk_route(http->desk, &sitting->ask);
}

/* ---- Answers ----------------------------------------------------------------------- */

static void
free_bytes(void *bytes)
{
  g_bytes_unref(bytes);
}

static struct MHD_Response *
response_of(const DeskAnswer *answer)
{
  gsize length;
  gconstpointer data = g_bytes_get_data(answer->body, &length);
  struct MHD_Response *response = MHD_create_response_from_buffer_with_free_callback_cls(
      length, (void *)(gsize)data, free_bytes, g_bytes_ref(answer->body));
  if (response == NULL)
    return NULL;
  MHD_add_response_header(response, "Content-Type", answer->type);
  MHD_add_response_header(response, "Content-Security-Policy",
                          answer->policy ? answer->policy : desk_policy);
  for (const char *const *at = desk_headers; *at; at += 2)
    MHD_add_response_header(response, at[0], at[1]);
  for (gsize i = 0; i < answer->n_headers; i++)
    MHD_add_response_header(response, answer->headers[i].name, answer->headers[i].value);
  return response;
}

static enum MHD_Result
send_answer(DeskHttp *http, struct MHD_Connection *connection, DeskAnswer *answer_taken)
{
  g_autoptr(DeskAnswer) answer = answer_taken;
  struct MHD_Response *response = response_of(answer);
  if (response == NULL)
    return MHD_NO;
  enter(http, line_of(connection), LEAVING, TRUE);
  enum MHD_Result queued = MHD_queue_response(connection, answer->status, response);
  MHD_destroy_response(response);
  return queued;
}

/* Called when the head has come, for every part of the body, and when that is over. */
static enum MHD_Result
on_request(void *user, struct MHD_Connection *connection, const char *url, const char *method,
           const char *version, const char *data, size_t *length, void **context)
{
  DeskHttp *http = user;
  Sitting *sitting = *context;
  (void)version;
  if (sitting == NULL) {
    g_mutex_lock(&http->lock);
    line_of(connection)->in_request = TRUE;
    g_mutex_unlock(&http->lock);
    *context = sitting = sit_down(http, connection, url, method);
    if (sitting->ask.length > DESK_BODY_BYTES) /* not worth hearing out */
      return send_answer(http, connection,
                         sitting->refusal ? answer_sitting(http, sitting)
                                          : desk_answer_says(413, "too long"));
    return MHD_YES;
  }
  if (*length > 0) {
    take_part(sitting, data, *length);
    *length = 0;
    return MHD_YES;
  }
  enter(http, line_of(connection), RUNNING, TRUE);
  return send_answer(http, connection, answer_sitting(http, sitting));
}

static void
on_completed(void *user, struct MHD_Connection *connection, void **context,
             enum MHD_RequestTerminationCode why)
{
  (void)why;
  enter(user, line_of(connection), ARRIVING, FALSE);
  if (*context != NULL)
    sitting_free(*context);
  *context = NULL;
}

/* Paths are compared as they were sent: nothing of ours has an escape in its name. */
static size_t
leave_escapes(void *user, struct MHD_Connection *connection, char *text)
{
  (void)user;
  (void)connection;
  return strlen(text);
}

/* What strangers send is no news for the terminal. */
static void
say_nothing(void *user, const char *format, va_list arguments)
{
  (void)user;
  (void)format;
  (void)arguments;
}

/* ---- Beginning and end ------------------------------------------------------------- */

static int
port_of(int fd)
{
  struct sockaddr_in address = {0};
  socklen_t length = sizeof address;
  getsockname(fd, (struct sockaddr *)&address, &length);
  return ntohs(address.sin_port);
}

static int
listen_on(gboolean lan, int port, GError **error)
{
  struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((guint16)port)};
  address.sin_addr.s_addr = htonl(lan ? INADDR_ANY : INADDR_LOOPBACK);
  int on = 1, fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (fd >= 0 && setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on) == 0 &&
      bind(fd, (const struct sockaddr *)&address, sizeof address) == 0 && listen(fd, BACKLOG) == 0)
    return fd;
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "port %d cannot be served: %s", port,
              g_strerror(errno));
  if (fd >= 0)
    close(fd);
  return -1;
}

static struct MHD_Daemon *
start_daemon(DeskHttp *http, int fd)
{
  unsigned flags = MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_THREAD_PER_CONNECTION | MHD_USE_POLL |
                   MHD_USE_ITC | MHD_USE_ERROR_LOG;
  return MHD_start_daemon(
      flags, 0, NULL, NULL, on_request, http, MHD_OPTION_EXTERNAL_LOGGER, say_nothing, NULL,
      MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, (unsigned)MOST_CONNECTIONS,
      MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)MOST_OF_ONE_ADDRESS,
      MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_BYTES, MHD_OPTION_CONNECTION_TIMEOUT,
      (unsigned)IDLE_S, MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_UNESCAPE_CALLBACK,
      leave_escapes, NULL, MHD_OPTION_NOTIFY_CONNECTION, on_connection, http,
      MHD_OPTION_NOTIFY_COMPLETED, on_completed, http, MHD_OPTION_END);
}

DeskHttp *
desk_http_start(PwDesk *desk, int port, GError **error)
{
  int fd = listen_on(desk->lan, port, error);
  if (fd < 0)
    return NULL;
  desk_take_port(desk, port_of(fd));
  DeskHttp *http = g_new0(DeskHttp, 1);
  http->desk = desk;
  http->lines = g_ptr_array_new();
  g_mutex_init(&http->lock);
  g_cond_init(&http->moved);
  http->watch = g_thread_new("desk-watch", watch, http);
  http->daemon = start_daemon(http, fd);
  if (http->daemon == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "the server could not be started");
    close(fd);
    desk_http_stop(http);
    return NULL;
  }
  return http;
}

static gboolean
has_request(const DeskHttp *http)
{
  for (guint i = 0; i < http->lines->len; i++)
    if (((const Line *)http->lines->pdata[i])->in_request)
      return TRUE;
  return FALSE;
}

/* Waits until no request is on its way in or out. */
static void
let_end(DeskHttp *http)
{
  gint64 until = g_get_monotonic_time() + STOPPING_S * G_TIME_SPAN_SECOND;
  g_mutex_lock(&http->lock);
  http->ending = TRUE;
  for (guint i = 0; i < http->lines->len; i++)
    g_atomic_int_set(&((Line *)http->lines->pdata[i])->stop, 1);
  while (has_request(http) && g_cond_wait_until(&http->moved, &http->lock, until))
    ;
  http->stopping = TRUE;
  g_cond_broadcast(&http->moved);
  g_mutex_unlock(&http->lock);
}

void
desk_http_stop(DeskHttp *http)
{
  if (http == NULL)
    return;
  int fd = http->daemon ? MHD_quiesce_daemon(http->daemon) : -1;
  if (fd >= 0)
    shutdown(fd, SHUT_RDWR); /* closed when no thread can be looking at it */
  let_end(http);
  g_thread_join(http->watch);
  if (http->daemon != NULL)
    MHD_stop_daemon(http->daemon); /* waits for the threads of what still runs */
  if (fd >= 0)
    close(fd);
  g_ptr_array_unref(http->lines);
  g_mutex_clear(&http->lock);
  g_cond_clear(&http->moved);
  g_free(http);
}
