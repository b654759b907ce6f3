/* Tree: the structure of a document written into it (ISO 32000-1, 14.7): one element for the whole,
 * whatever stayed open over pages in one piece, descriptions, links and the places they lead to.
 * Cairo's own tree falls away.
 */
#include "private.h"

#include <stdlib.h>
#include <string.h>

/* Of an annotation: it is printed (ISO 19005-1, 6.5.3). */
enum { PRINT_FLAG = 4 };

typedef struct {
  qpdf_data q;
  const PwPdfStructure *structure;
  guint n_pages;
  qpdf_oh *pages;    /* of each page */
  qpdf_oh *elements; /* of each element */
  GArray **owners;   /* of each page: int, the element of each mark */
  int **numbers;     /* of each page: what each mark is called now, or -1 */
  qpdf_oh by_number; /* array of the parent tree: key, value, ... */
  int next_key;      /* of it */
} Tree;

static const PwPdfElement *
peek_element(const Tree *tree, int which)
{
  return &g_array_index(tree->structure->elements, PwPdfElement, which);
}

static void
set(Tree *tree, qpdf_oh dictionary, const char *key, qpdf_oh value)
{
  qpdf_oh_replace_key(tree->q, dictionary, key, value);
}

/* ---- Pages --------------------------------------------------------------------------- */

static void
gather_owners(Tree *tree)
{
  const GArray *elements = tree->structure->elements;
  for (int e = 0; e < (int)elements->len; e++) {
    const GArray *kids = peek_element(tree, e)->kids;
    for (guint k = 0; k < kids->len; k++) {
      const PwPdfKid *kid = &g_array_index(kids, PwPdfKid, k);
      if (kid->element >= 0)
        continue;
      GArray *owners = tree->owners[kid->page];
      if (owners->len <= kid->mark)
        g_array_set_size(owners, kid->mark + 1);
      g_array_index(owners, int, kid->mark) = e;
    }
  }
}

/* The content of a page with its marks named and numbered. */
static gboolean
mark_page(Tree *tree, guint which)
{
  const GArray *owners = tree->owners[which];
  g_autofree const char **types = g_new0(const char *, owners->len + 1);
  for (guint i = 0; i < owners->len; i++)
    types[i] = peek_element(tree, g_array_index(owners, int, i))->type;
  tree->numbers[which] = g_new0(int, owners->len + 1);
  unsigned char *bytes = NULL;
  size_t length = 0;
  if ((qpdf_oh_get_page_content_data(tree->q, tree->pages[which], &bytes, &length) & QPDF_ERRORS) !=
      0)
    return FALSE;
  g_autofree char *marked =
      pw_pdf_dup_marked((const char *)bytes, length, types, owners->len, tree->numbers[which]);
  free(bytes); /* qpdf's is malloc's */
  if (marked == NULL)
    return FALSE;
  qpdf_oh stream = qpdf_oh_new_stream(tree->q), nothing = qpdf_oh_new_null(tree->q);
  qpdf_oh_replace_stream_data(tree->q, stream, (const unsigned char *)marked, strlen(marked),
                              nothing, nothing);
  set(tree, tree->pages[which], "/Contents", stream);
  return TRUE;
}

static void
add_number(Tree *tree, qpdf_oh value)
{
  qpdf_oh_append_item(tree->q, tree->by_number, qpdf_oh_new_integer(tree->q, tree->next_key++));
  qpdf_oh_append_item(tree->q, tree->by_number, value);
}

/* From its marks to their elements, which is how a reader finds them (14.7.4.4). */
static void
point_back(Tree *tree, guint which)
{
  qpdf_data q = tree->q;
  const GArray *owners = tree->owners[which];
  qpdf_oh back = qpdf_oh_new_array(q);
  for (guint i = 0; i < owners->len; i++)
    if (tree->numbers[which][i] >= 0)
      qpdf_oh_append_item(q, back, tree->elements[g_array_index(owners, int, i)]);
  qpdf_oh_remove_key(q, tree->pages[which], "/StructParents");
  if (qpdf_oh_get_array_n_items(q, back) == 0)
    return;
  set(tree, tree->pages[which], "/StructParents", qpdf_oh_new_integer(q, tree->next_key));
  add_number(tree, qpdf_make_indirect_object(q, back));
}

/* ---- Elements ------------------------------------------------------------------------ */

static qpdf_oh
box_new(qpdf_data q, const double box[4])
{
  qpdf_oh array = qpdf_oh_new_array(q);
  for (int i = 0; i < 4; i++)
    qpdf_oh_append_item(q, array, qpdf_oh_new_real_from_double(q, box[i], 3));
  return array;
}

static void
describe(Tree *tree, qpdf_oh object, const PwPdfElement *element)
{
  qpdf_data q = tree->q;
  if (element->attributes != NULL)
    set(tree, object, "/A", qpdf_oh_parse(q, element->attributes));
  if (element->says == NULL || element->destination != NULL)
    return;
  set(tree, object, "/Alt", qpdf_oh_new_unicode_string(q, element->says));
  qpdf_oh layout = qpdf_oh_parse(q, "<< /O /Layout /Placement /Block >>");
  set(tree, layout, "/BBox", box_new(q, element->box));
  set(tree, object, "/A", layout);
}

/* A mark of the element's own page is a number, one of another page says which. */
static qpdf_oh
mark_new(Tree *tree, const PwPdfKid *kid, guint own_page)
{
  qpdf_data q = tree->q;
  qpdf_oh number = qpdf_oh_new_integer(q, tree->numbers[kid->page][kid->mark]);
  if (kid->page == own_page)
    return number;
  qpdf_oh reference = qpdf_oh_parse(q, "<< /Type /MCR >>");
  set(tree, reference, "/Pg", tree->pages[kid->page]);
  set(tree, reference, "/MCID", number);
  return reference;
}

static void
fill_element(Tree *tree, int which)
{
  qpdf_data q = tree->q;
  const PwPdfElement *element = peek_element(tree, which);
  qpdf_oh object = tree->elements[which], kids = qpdf_oh_new_array(q);
  guint page = G_MAXUINT;
  for (guint k = 0; k < element->kids->len; k++) {
    const PwPdfKid *kid = &g_array_index(element->kids, PwPdfKid, k);
    if (kid->element >= 0) {
      qpdf_oh_append_item(q, kids, tree->elements[kid->element]);
      continue;
    }
    if (tree->numbers[kid->page][kid->mark] < 0)
      continue;
    page = page == G_MAXUINT ? kid->page : page;
    qpdf_oh_append_item(q, kids, mark_new(tree, kid, page));
  }
  set(tree, object, "/S", qpdf_oh_new_name(q, element->type));
  set(tree, object, "/K", kids);
  if (page != G_MAXUINT)
    set(tree, object, "/Pg", tree->pages[page]);
  if (element->parent >= 0)
    set(tree, object, "/P", tree->elements[element->parent]);
  describe(tree, object, element);
}

/* ---- Links --------------------------------------------------------------------------- */

static const PwPdfPlace *
find_place(const PwPdfStructure *structure, const char *name)
{
  for (guint i = 0; i < structure->places->len; i++) {
    const PwPdfPlace *place = &g_array_index(structure->places, PwPdfPlace, i);
    if (strcmp(place->name, name) == 0)
      return place;
  }
  return NULL;
}

static qpdf_oh
name_string(qpdf_data q, const char *name)
{
  return qpdf_oh_new_binary_string(q, name, strlen(name));
}

static qpdf_oh
annotation_new(Tree *tree, const PwPdfArea *area, const PwPdfElement *element)
{
  qpdf_data q = tree->q;
  qpdf_oh annotation = qpdf_oh_parse(q, "<< /Type /Annot /Subtype /Link /Border [0 0 0] >>");
  set(tree, annotation, "/F", qpdf_oh_new_integer(q, PRINT_FLAG));
  set(tree, annotation, "/Rect", box_new(q, area->box));
  set(tree, annotation, "/Dest", name_string(q, element->destination));
  set(tree, annotation, "/Contents", qpdf_oh_new_unicode_string(q, element->says));
  set(tree, annotation, "/P", tree->pages[area->page]);
  set(tree, annotation, "/StructParent", qpdf_oh_new_integer(q, tree->next_key));
  return qpdf_make_indirect_object(q, annotation);
}

static void
append_to(Tree *tree, qpdf_oh dictionary, const char *key, qpdf_oh item)
{
  if (!qpdf_oh_has_key(tree->q, dictionary, key))
    set(tree, dictionary, key, qpdf_oh_new_array(tree->q));
  qpdf_oh_append_item(tree->q, qpdf_oh_get_key(tree->q, dictionary, key), item);
}

static void
add_area(Tree *tree, const PwPdfArea *area)
{
  qpdf_data q = tree->q;
  const PwPdfElement *element = peek_element(tree, area->element);
  qpdf_oh object = tree->elements[area->element], page = tree->pages[area->page];
  if (find_place(tree->structure, element->destination) == NULL) {
    set(tree, object, "/S", qpdf_oh_new_name(q, "/Span"));
    return;
  }
  qpdf_oh annotation = annotation_new(tree, area, element);
  qpdf_oh reference = qpdf_oh_parse(q, "<< /Type /OBJR >>");
  set(tree, reference, "/Obj", annotation);
  set(tree, reference, "/Pg", page);
  append_to(tree, object, "/K", reference);
  append_to(tree, page, "/Annots", annotation);
  set(tree, page, "/Tabs", qpdf_oh_new_name(q, "/S"));
  add_number(tree, object);
}

/* The places by name, in the order of their bytes (7.9.6, 12.3.2.3). */
static void
name_places(Tree *tree)
{
  qpdf_data q = tree->q;
  const GArray *places = tree->structure->places;
  if (places->len == 0)
    return;
  qpdf_oh names = qpdf_oh_new_array(q);
  for (guint i = 0; i < places->len; i++) {
    const PwPdfPlace *place = &g_array_index(places, PwPdfPlace, i);
    qpdf_oh there = qpdf_oh_parse(q, "[]");
    qpdf_oh_append_item(q, there, tree->pages[place->page]);
    qpdf_oh_append_item(q, there, qpdf_oh_new_name(q, "/XYZ"));
    qpdf_oh_append_item(q, there, qpdf_oh_new_null(q));
    qpdf_oh_append_item(q, there, qpdf_oh_new_real_from_double(q, place->y, 3));
    qpdf_oh_append_item(q, there, qpdf_oh_new_null(q));
    qpdf_oh_append_item(q, names, name_string(q, place->name));
    qpdf_oh_append_item(q, names, there);
  }
  qpdf_oh leaf = qpdf_oh_new_dictionary(q), all = qpdf_oh_new_dictionary(q);
  set(tree, leaf, "/Names", names);
  set(tree, all, "/Dests", qpdf_make_indirect_object(q, leaf));
  set(tree, qpdf_get_root(q), "/Names", all);
}

/* ---- The document -------------------------------------------------------------------- */

static gboolean
mark_pages(Tree *tree)
{
  gather_owners(tree);
  for (guint i = 0; i < tree->n_pages; i++)
    if (!mark_page(tree, i))
      return FALSE;
  return TRUE;
}

static void
fill(Tree *tree)
{
  qpdf_data q = tree->q;
  const PwPdfStructure *structure = tree->structure;
  for (guint e = 0; e < structure->elements->len; e++)
    tree->elements[e] = qpdf_make_indirect_object(q, qpdf_oh_parse(q, "<< /Type /StructElem >>"));
  for (guint e = 0; e < structure->elements->len; e++)
    fill_element(tree, (int)e);
  for (guint i = 0; i < tree->n_pages; i++)
    point_back(tree, i);
  for (guint i = 0; i < structure->areas->len; i++)
    add_area(tree, &g_array_index(structure->areas, PwPdfArea, i));
  qpdf_oh root = qpdf_make_indirect_object(q, qpdf_oh_parse(q, "<< /Type /StructTreeRoot >>"));
  qpdf_oh parents = qpdf_oh_new_dictionary(q);
  set(tree, parents, "/Nums", tree->by_number);
  set(tree, root, "/K", tree->elements[0]);
  set(tree, root, "/ParentTree", qpdf_make_indirect_object(q, parents));
  set(tree, root, "/ParentTreeNextKey", qpdf_oh_new_integer(q, tree->next_key));
  set(tree, tree->elements[0], "/P", root);
  set(tree, qpdf_get_root(q), "/StructTreeRoot", root);
  set(tree, qpdf_get_root(q), "/MarkInfo", qpdf_oh_parse(q, "<< /Marked true >>"));
}

static void
init(Tree *tree)
{
  tree->n_pages = (guint)qpdf_get_num_pages(tree->q);
  tree->pages = g_new0(qpdf_oh, tree->n_pages);
  tree->owners = g_new0(GArray *, tree->n_pages);
  tree->numbers = g_new0(int *, tree->n_pages);
  tree->elements = g_new0(qpdf_oh, tree->structure->elements->len);
  tree->by_number = qpdf_oh_new_array(tree->q);
  for (guint i = 0; i < tree->n_pages; i++) {
    tree->pages[i] = qpdf_get_page_n(tree->q, i);
    tree->owners[i] = g_array_new(FALSE, TRUE, sizeof(int));
  }
}

static void
clear(Tree *tree)
{
  for (guint i = 0; i < tree->n_pages; i++) {
    g_array_unref(tree->owners[i]);
    g_free(tree->numbers[i]);
  }
  g_free(tree->pages);
  g_free(tree->owners);
  g_free(tree->numbers);
  g_free(tree->elements);
}

gboolean
pw_pdf_plant(qpdf_data q, const PwPdfStructure *structure)
{
  Tree tree = {.q = q, .structure = structure};
  init(&tree);
  gboolean is_tagged = structure->elements->len > 1;
  gboolean ok = !is_tagged || mark_pages(&tree);
  if (ok && is_tagged)
    fill(&tree);
  if (ok)
    name_places(&tree);
  clear(&tree);
  return ok;
}
