// Stands in for the bundled page where firstshot is built with -DFIRSTSHOT_PAGE=OFF.
#include "io/report_template.hpp"
#include "mesh/error.hpp"

namespace firstshot {

std::string report_template() {
  throw Error("this firstshot was built without the page of the report (-DFIRSTSHOT_PAGE=OFF)");
}

}  // namespace firstshot
