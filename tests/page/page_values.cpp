// What stands in a result file at some places of its parts, as JSON, for the tests of the page:
//
//   page_values result.h5             [{"part": …, "time_s": …, "x_mm": …, "arrival_time": …,
//   "pressure": …, …}, …] page_values --kill FROM.h5 TO.h5  the file as a killed run would have
//   left it: without a result
//
// Values are those of the kept step of the highest injection pressure, in s, MPa, degC; "time_s" is
// its time.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "io/h5_file.hpp"
#include "io/result_reader.hpp"
#include "io/seal.hpp"

namespace {

/// Every n-th vertex that lies inside its part.
nlohmann::json values_of(const firstshot::ResultReader& reader, std::size_t wanted) {
  using namespace firstshot;
  const Model model = reader.model();
  const std::vector<StepRecord> steps = reader.steps();
  const auto step = std::max_element(steps.begin(), steps.end(), [](const auto& a, const auto& b) {
    return a.injection_pressure < b.injection_pressure;
  });
  const NodeFields fields = reader.fields(step->number);
  nlohmann::json out = nlohmann::json::array();
  const std::size_t n = model.mesh.triangles.size(), every = std::max<std::size_t>(1, n / wanted);
  for (std::size_t t = every / 2; t < n; t += every) {
    const TriId triangle = make_id<TriId>(t);
    const Region& region = model.regions[static_cast<std::size_t>(model.mesh.region[triangle])];
    if (region.role != Role::part) continue;
    const VertexId vertex = model.mesh.triangles[triangle][0];
    const NodeId node = model.node_of_vertex[vertex];
    if (!(fields.arrival_time[node] < 0.9 * step->time)) continue;
    const Point at = model.mesh.points[vertex];
    out.push_back({{"time_s", step->time},
                   {"part", region.name},
                   {"x_mm", at.x * 1e3},
                   {"y_mm", at.y * 1e3},
                   {"arrival_time", fields.arrival_time[node]},
                   {"pressure", fields.pressure[node] * 1e-6},
                   {"temperature_mean", fields.temperature_mean[node] - 273.15}});
  }
  return out;
}

void write_killed(const std::string& from, const std::string& to) {
  using namespace firstshot;
  const H5File whole = H5File::open(from);
  H5File file = H5File::create(to);
  file.set_attribute("format", whole.attribute("format"));
  file.set_attribute("format_version", whole.integer_attribute("format_version"));
  for (const char* group : {"/case", "/model", "/steps", "/history"}) file.copy_from(whole, group);
  file.close();
  add_seal(to, to);
}

}  // namespace

int main(int argc, char** argv) {
  try {
    if (argc == 4 && std::string(argv[1]) == "--kill") {
      write_killed(argv[2], argv[3]);
      return 0;
    }
    if (argc != 2) return 2;
    constexpr std::size_t wanted = 24;
    std::puts(values_of(firstshot::ResultReader(argv[1]), wanted).dump().c_str());
    return 0;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "page_values: %s\n", error.what());
    return 1;
  }
}
