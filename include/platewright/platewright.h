/* Everything that another program may use. */
#ifndef PLATEWRIGHT_H
#define PLATEWRIGHT_H

#include <platewright/align.h>
#include <platewright/bag.h>
#include <platewright/base.h>
#include <platewright/card.h>
#include <platewright/desk.h>
#include <platewright/export.h>
#include <platewright/geometry.h>
#include <platewright/labels.h>
#include <platewright/measure.h>
#include <platewright/model.h>
#include <platewright/pair.h>
#include <platewright/pdf.h>
#include <platewright/photo.h>
#include <platewright/plate.h>
#include <platewright/record.h>
#include <platewright/report.h>
#include <platewright/style.h>
#include <platewright/trace.h>
#include <platewright/yaml.h>

#endif
