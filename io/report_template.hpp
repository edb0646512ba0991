// The bundled page without its data; the source is made from report_page/ while building.
#pragma once

#include <string>

namespace firstshot {

/// HTML with the mark `<!--firstshot:data-->` where the data go.
std::string report_template();

}  // namespace firstshot
