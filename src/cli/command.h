/* The command: one row a command, one file a command. What the programs share: the table's types,
 * options as given, exit codes, and the two files that own standard output and standard error. */
#ifndef PW_CLI_COMMAND_H
#define PW_CLI_COMMAND_H

#include <platewright/model.h>
#include <platewright/style.h>

/* Exit status; the same for every command, and part of its contract. */
enum {
  EXIT_DONE = 0,
  EXIT_FINDINGS = 1, /* the record has errors or findings */
  EXIT_USE = 2,      /* wrong use */
  EXIT_FILE = 3      /* a file could not be read or written */
};

typedef struct {
  const char *name;     /* "--full", "-o" */
  const char *argument; /* what follows it, "FILE"; NULL: nothing does */
  const char *help;
} Option;

typedef struct Invocation Invocation;
typedef struct {
  const char *name;
  const char *argument; /* "FOLDER", or NULL */
  const char *summary;
  const Option *options; /* ended by an empty row */
  int (*run)(const Invocation *invocation);
} Command;

extern const Command command_intake, command_check, command_measure, command_plates,
    command_align, command_card, command_lens, command_mark, command_export, command_labels,
    command_report;

/* What was asked for. */
struct Invocation {
  const Command *command;
  const char *folder;
  GHashTable *given; /* option's name -> its argument, "" for a flag */
};
gboolean given_flag(const Invocation *invocation, const char *name);
const char *given_value(const Invocation *invocation, const char *name); /* NULL: not given */

/* ---- Standard error: say.c --------------------------------------------------------- */

void say(const char *format, ...) G_GNUC_PRINTF(1, 2);
/* Says what went wrong; the exit status that goes with it. */
int say_error(const GError *error);
/* Says all complaints of at least that severity, in order of place; the exit status they call
 * for. */
int say_complaints(PwComplaints *complaints, PwSeverity at_least);
/* Progress on a terminal, NULL elsewhere; cleared by saying anything and by say_progress_end. */
const PwProgress *say_progress(void);
void say_progress_end(void);

/* ---- Standard output: out.c -------------------------------------------------------- */

/* Writes all of it; EXIT_DONE, or EXIT_FILE with the reason said. */
int out_text(const char *text, gsize length);

/* ---- Words: words.c ---------------------------------------------------------------- */

/* A language by name or path; yours. NULL with what is wrong said and its exit status. */
PwWords *words_read(const char *language, int *status);
/* Says, once, what the language had no words for and was printed in English. */
void words_say_missing(const PwWords *words);

/* ---- Output files: target.c -------------------------------------------------------- */

/* Where a document goes: -o, else ID-COMMAND[-KIND][-WHOM].pdf here. `kind` may be NULL. Yours. */
char *target_path(const Invocation *invocation, const PwModel *model, const char *kind,
                  PwAudience audience);
/* Writes a document whole, never over a photograph or a text of the record, and over nothing but
 * a file of its own format. `model` NULL: no record is open. An exit status. */
typedef enum { TARGET_PDF, TARGET_HTML } TargetFormat;
int target_write(const PwModel *model, const char *path, GBytes *bytes, TargetFormat format);

/* ---- Documents: document.c --------------------------------------------------------- */

/* The record that a document is made of; yours. NULL where it cannot be read or has errors, with
 * those said, that there is none ("no plates were made"), and the exit status. */
PwModel *document_open(const Invocation *invocation, const char *none, int *status);
/* The style and the language asked for, else "plate" and the record's; yours. FALSE with what is
 * wrong said and its exit status. */
gboolean document_read(const Invocation *invocation, const PwModel *model, PwStyle **style,
                       PwWords **words, int *status);
/* Says what was made: the first line of `told` behind the path, the others below. */
void document_say_made(const char *path, char *const *told);
/* Writes it (target_write) and says so. An exit status. */
int document_write(const PwModel *model, const char *path, GBytes *bytes, TargetFormat format,
                   char *const *told);

#endif
