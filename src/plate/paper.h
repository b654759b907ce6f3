/* Lengths and places on a printed page: millimetres from the paper's top-left corner, y down. */
#ifndef PW_PLATE_PAPER_H
#define PW_PLATE_PAPER_H

#include <glib.h>

typedef struct {
  double x, y;
} PwPaper;

typedef struct {
  double x, y, width, height;
} PwBox;

/* A run of places on the page; a ring does not repeat its first. */
typedef struct {
  PwPaper *points;
  gsize n;
} PwPaperPath;

#endif
