/* Desk: the marking page, a small server on this machine and the page it serves.
 *
 * It holds no rules: what the page shows and saves comes from the library. It answers one browser
 * that has been given the address, or several, from threads of its own.
 */
#ifndef PLATEWRIGHT_DESK_H
#define PLATEWRIGHT_DESK_H

#include <platewright/base.h>

PW_BEGIN_DECLS

#define PW_DESK_ANY_PORT (-1)
typedef struct {
  int port;     /* 0: made from the folder's path, or the next free one; PW_DESK_ANY_PORT: any that
                   is free */
  gboolean lan; /* serve the local network too, not this machine alone */
} PwDeskOptions;

typedef struct PwDesk PwDesk;
/* Serves the record in `folder` until pw_desk_stop. NULL and a GError: PW_ERROR_USE for a port that
 * is taken or none, else what pw_model_open says. Signals that shall not be taken by the threads
 * that are started here are blocked before. */
PwDesk *pw_desk_start(const char *folder, const PwDeskOptions *options, GError **error);
/* "http://127.0.0.1:PORT/?token=HEX": who has it may change the record. */
const char *pw_desk_peek_address(const PwDesk *desk);
/* The addresses under which the local network finds it, NULL-terminated, yours; empty without
 * `lan`, and where this machine is in no network. */
char **pw_desk_dup_lan_addresses(const PwDesk *desk);
/* An address as a QR code in half blocks, lines ended; dark on a light ground of its own, so that
 * it reads on any terminal. Yours; NULL when it cannot be made. */
char *pw_desk_dup_qr(const char *address);
/* Takes no further request, lets those that run end, and frees everything. What was answered as
 * saved is on disk. */
void pw_desk_stop(PwDesk *desk);

PW_END_DECLS
#endif
