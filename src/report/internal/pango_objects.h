// Owners of what Pango and Cairo give out, and what all text drawn here has in common.
#pragma once

#include <cairo.h>
#include <pango/pangocairo.h>

#include <memory>

namespace plumbmark::report {

/// Inter where it has the letters, else Noto, else DejaVu, else what the system has.
inline constexpr const char* kFontFamilies = "Inter,Noto Sans,DejaVu Sans,sans-serif";

struct ReleasePango {
    void operator()(PangoContext* context) const { g_object_unref(context); }
    void operator()(PangoLayout* layout) const { g_object_unref(layout); }
    void operator()(PangoFontDescription* description) const { pango_font_description_free(description); }
    void operator()(PangoAttrList* list) const { pango_attr_list_unref(list); }
    void operator()(PangoLayoutIter* at) const { pango_layout_iter_free(at); }
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* cairo) const { cairo_destroy(cairo); }
    void operator()(cairo_font_options_t* options) const { cairo_font_options_destroy(options); }
};
template <class T>
using OwnedByUs = std::unique_ptr<T, ReleasePango>;

}  // namespace plumbmark::report
