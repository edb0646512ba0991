// A solid of half a million triangles: what it costs until its mesh is there. Its time is no test:
// 3.7 s of processor time (DEVELOPERS.md, "How a solid becomes a mesh").
#include <cmath>
#include <filesystem>
#include <fstream>

#include <catch2/catch.hpp>
#include <sys/resource.h>

#include "io/build_setup.hpp"
#include "io/stl_reader.hpp"
#include "mesh/solid/divide_shell.hpp"
#include "tests/io/stl_samples.hpp"

using namespace firstshot;

// Asked for: under 1 GB; measured 230 MB.
TEST_CASE("a solid of 500 000 triangles becomes a good mesh within 1 GB", "[case][slow]") {
  const std::filesystem::path cases = std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases";
  std::ifstream file(cases / "hedgerow" / "frame.stl", std::ios::binary);
  const Shell frame = read_stl(file, "frame.stl").shell;
  double low = 0.05, high = 5.0;  // longest side [mm]
  for (int k = 0; k < 10; ++k) {
    const double middle = std::sqrt(low * high);
    (divided_shell(frame, middle, 1'500'000).triangles.size() > 500'000 ? low : high) = middle;
  }
  const Shell fine = divided_shell(frame, low, 1'500'000);
  REQUIRE(fine.triangles.size() > 500'000);
  INFO(fine.triangles.size() << " triangles");
  const std::filesystem::path folder =
      std::filesystem::temp_directory_path() / "firstshot-half-a-million";
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "frame.stl", std::ios::binary) << binary_stl(fine);
  std::ofstream(folder / "case.toml") << "geometry = { solid = \"frame.stl\", unit = \"mm\" }\n"
                                         "material = { card = \"hips-8\" }\n"
                                         "process = { fill_time = \"0.5 s\" }\n";
  const BuiltSetup built = build_setup(read_case(folder / "case.toml"),
                                       CardFolders{{cases / "materials"}, {cases / "presses"}});
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  std::filesystem::remove_all(folder);
  INFO(usage.ru_maxrss / 1000 << " MB");
  CHECK(usage.ru_maxrss < 1'000'000);
  const MeshQuality mesh = quality(built.setup.model.mesh);
  INFO("smallest angle " << mesh.min_angle_deg);
  CHECK(mesh.min_angle_deg > 15.0);
  CHECK(mesh.mean_min_angle_deg > 42.0);
}
