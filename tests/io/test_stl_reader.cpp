// STL files, whole and damaged; VTK's reader is the witness from outside.
#include <cmath>
#include <limits>
#include <sstream>

#include <catch2/catch.hpp>
#include <vtkNew.h>
#include <vtkPolyData.h>
#include <vtkSTLReader.h>

#include "io/atomic_file.hpp"
#include "io/solid_file.hpp"
#include "io/stl_reader.hpp"
#include "mesh/error.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/stl_samples.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;

namespace {

StlSurface read_bytes(const std::string& bytes) {
  std::istringstream in(bytes);
  return read_stl(in, "frame.stl");
}

std::string fault_of(const std::string& bytes) {
  return test::refusal_of([&] { read_bytes(bytes); });
}

std::string with(std::string text, const std::string& from, const std::string& to) {
  return replaced(std::move(text), from, to);
}

/// A surface of many triangles of which VTK and our reader must make the same.
Shell wavy_sheet(int n) {
  Shell sheet;
  for (int j = 0; j <= n; ++j)
    for (int i = 0; i <= n; ++i)
      sheet.points.push_back({0.7 * i, 0.6 * j, std::sin(0.3 * i) * std::cos(0.2 * j)});
  for (int j = 0; j < n; ++j) {
    for (int i = 0; i < n; ++i) {
      const int a = j * (n + 1) + i;
      sheet.triangles.push_back({a, a + 1, a + n + 1});
      sheet.triangles.push_back({a + 1, a + n + 2, a + n + 1});
    }
  }
  return sheet;
}

}  // namespace

TEST_CASE("binary and text files of a box give its volume and eight points", "[io]") {
  const Shell box = box_shell(100, 50, 2);
  for (const std::string& bytes : {binary_stl(box), text_stl(box)}) {
    const StlSurface read = read_bytes(bytes);
    CHECK(read.shell.points.size() == 8);
    CHECK(read.shell.triangles.size() == 12);
    CHECK(enclosed_volume(read.shell) == Approx(10000.0).epsilon(1e-12));
    CHECK(read.notes.empty());
  }
}

TEST_CASE("VTK's reader finds the same points and triangles", "[io]") {
  const ScratchFolder scratch("stl-vtk");
  const Shell sheet = wavy_sheet(40);
  for (const std::string& bytes : {binary_stl(sheet), text_stl(sheet)}) {
    const auto file = scratch.path() / "sheet.stl";
    write_atomically(file, bytes);
    vtkNew<vtkSTLReader> witness;
    witness->SetFileName(file.c_str());
    witness->Update();
    const vtkPolyData& seen = *witness->GetOutput();
    const StlSurface read = read_bytes(bytes);
    REQUIRE(static_cast<vtkIdType>(read.shell.triangles.size()) ==
            const_cast<vtkPolyData&>(seen).GetNumberOfCells());
    REQUIRE(static_cast<vtkIdType>(read.shell.points.size()) ==
            const_cast<vtkPolyData&>(seen).GetNumberOfPoints());
    for (std::size_t i = 0; i < read.shell.points.size(); ++i) {
      double p[3];
      const_cast<vtkPolyData&>(seen).GetPoint(static_cast<vtkIdType>(i), p);
      CHECK(p[0] == read.shell.points[i].x);
      CHECK(p[1] == read.shell.points[i].y);
      CHECK(p[2] == read.shell.points[i].z);
    }
  }
}

TEST_CASE("the length decides between binary and text, not the first word", "[io]") {
  const Shell box = box_shell(100, 50, 2);
  CHECK(read_bytes(binary_stl(box, "solid of a frame")).shell.triangles.size() == 12);
  CHECK(read_bytes("\xef\xbb\xbf" + text_stl(box)).shell.triangles.size() == 12);
}

TEST_CASE("names inside a text file may hold anything", "[io]") {
  const Shell box = box_shell(100, 50, 2);
  const std::string odd = "Буксир для порта, рамка один, facet vertex nan \x01 \"' % endfacet 船";
  CHECK(read_bytes(text_stl(box, odd)).shell.triangles.size() == 12);
}

TEST_CASE("text in capitals, with several solids and normals that are no numbers, is read",
          "[io]") {
  const Shell box = box_shell(100, 50, 2);
  std::string text = text_stl(box) + text_stl(box, "again");
  text = with(text, "facet normal 0 0 0", "FACET NORMAL nan nan -nan");
  text = with(text, "vertex 100.000000", "VERTEX +1.0e+2");
  CHECK(read_bytes(text).shell.triangles.size() == 24);
}

TEST_CASE("cut off files are refused with what is missing", "[io]") {
  const Shell box = box_shell(100, 50, 2);
  const std::string binary = binary_stl(box), text = text_stl(box);
  CHECK_THAT(fault_of(binary.substr(0, binary.size() - 1)),
             Catch::Contains("announces 12 triangles in 684 bytes, but it has 683 bytes"));
  CHECK_THAT(fault_of(binary.substr(0, 60)), Catch::Contains("60 bytes are too few"));
  CHECK_THAT(fault_of(text.substr(0, text.rfind("endsolid"))),
             Catch::Contains("breaks off") && Catch::Contains("endsolid"));
  CHECK_THAT(fault_of(text.substr(0, text.rfind("endfacet"))), Catch::Contains("endfacet"));
  CHECK_THAT(fault_of(""), Catch::Contains("empty"));
}

TEST_CASE("files that are no STL are refused", "[io]") {
  CHECK_THAT(fault_of("<html>" + std::string(2000, ' ')),
             Catch::Contains("does not begin with \"solid\""));
  CHECK_THAT(fault_of(std::string(3000, '\x7f') + std::string(10, '\0')),
             Catch::Contains("no STL file"));
  // Text that claims to be binary: a word of the header promises 541 million triangles.
  CHECK_THAT(fault_of("binary stl " + std::string(90, ' ')), Catch::Contains("no STL file"));
  // Binary that claims to be text.
  CHECK_THAT(fault_of("solid x\n" + std::string(500, '\0')), Catch::Contains("no triangle"));
}

TEST_CASE("a file without triangles or with triangles of no area only is refused", "[io]") {
  CHECK_THAT(fault_of(binary_stl(Shell{})), Catch::Contains("no triangle with an area"));
  CHECK_THAT(fault_of("solid nothing\nendsolid nothing\n"),
             Catch::Contains("no triangle with an area"));
  Shell flat = box_shell(1, 1, 1);
  for (Point3& p : flat.points) p = {1, 2, 3};
  CHECK_THAT(fault_of(binary_stl(flat)), Catch::Contains("no triangle with an area"));
}

TEST_CASE("coordinates that are no finite numbers are refused with their place", "[io]") {
  Shell box = box_shell(100, 50, 2);
  box.points[7].x = std::numeric_limits<double>::quiet_NaN();
  CHECK_THAT(fault_of(binary_stl(box)), Catch::Contains("triangle 4 is not a finite number"));
  box.points[7].x = std::numeric_limits<double>::infinity();
  CHECK_THAT(fault_of(binary_stl(box)), Catch::Contains("triangle 4 is not a finite number"));
  const std::string text = text_stl(box_shell(100, 50, 2));
  for (const char* wrong : {"nan", "inf", "1e400", "1e39", "12mm", "0x10", "1,5"}) {
    INFO(wrong);
    const std::string fault =
        fault_of(with(text, "vertex 100.000000", "vertex " + std::string(wrong)));
    CHECK_THAT(fault, Catch::Contains("frame.stl:6: "));
    CHECK_THAT(fault, Catch::Contains("finite number") || Catch::Contains("too large"));
  }
}

TEST_CASE("text whose facets are no triangles is refused with the line", "[io]") {
  const std::string text = text_stl(box_shell(100, 50, 2));
  const std::string corner = "vertex 100.000000 0.000000 0.000000\n";
  CHECK_THAT(fault_of(with(text, corner, corner + corner)),
             Catch::Contains("more than three corners"));
  CHECK_THAT(fault_of(with(text, corner, "")), Catch::Contains("without three corners"));
  CHECK_THAT(fault_of(with(text, "endfacet", "")), Catch::Contains("\"endfacet\" is missing"));
  CHECK_THAT(fault_of(with(text, "endloop", "endlop\x1b[31m")),
             Catch::Contains("frame.stl:7: \"endlop?[31m\" is no word of an STL file"));
}

TEST_CASE("a million copies of a triangle keep three points", "[io]") {
  Shell copies = box_shell(100, 50, 2);
  copies.triangles.assign(1'000'000, {0, 1, 2});
  double told = 0.0;
  std::istringstream in(binary_stl(copies));
  const StlSurface read = read_stl(in, "frame.stl", [&](double share) {
    CHECK(share > told);
    told = share;
  });
  CHECK(read.shell.points.size() == 3);
  CHECK(told > 0.9);
}

TEST_CASE("bytes behind the last triangle are passed over and said", "[io]") {
  const StlSurface read = read_bytes(binary_stl(box_shell(9, 5, 2)) + std::string(7, '\0'));
  CHECK(read.shell.triangles.size() == 12);
  REQUIRE(read.notes.size() == 1);
  CHECK_THAT(read.notes[0], Catch::Contains("7 bytes"));
}

TEST_CASE("the unit of an STL file is the one given, or guessed and said", "[io]") {
  const ScratchFolder scratch("stl-unit");
  const auto file = scratch.path() / "рама №1 'tug' %s.STL";
  write_atomically(file, binary_stl(box_shell(100, 50, 2)));
  const SolidFile guessed = read_solid_file(file);
  CHECK(guessed.unit == "mm");
  CHECK(enclosed_volume(guessed.shell) == Approx(10000e-9));
  REQUIRE(guessed.notes.size() == 1);
  CHECK_THAT(guessed.notes[0], Catch::Contains("taken as mm") && Catch::Contains("100 x 50 x 2"));
  SolidFileOptions inches;
  inches.unit = "in";
  const SolidFile given = read_solid_file(file, inches);
  CHECK(given.notes.empty());
  CHECK(given.unit_length == Approx(0.0254).epsilon(1e-15));
  CHECK(enclosed_volume(given.shell) == Approx(10000e-9 * 25.4 * 25.4 * 25.4));
  CHECK(given.fingerprint == guessed.fingerprint);
  write_atomically(file, binary_stl(box_shell(7, 5, 0.1)));
  CHECK(read_solid_file(file).unit == "in");
  CHECK(read_solid_file(file).fingerprint != given.fingerprint);
}

TEST_CASE("a solid of a size that no frame has is refused", "[io]") {
  const ScratchFolder scratch("stl-size");
  const auto file = scratch.path() / "frame.stl";
  SolidFileOptions options;
  options.unit = "mm";
  write_atomically(file, binary_stl(box_shell(1e7, 5e6, 2)));  // 10 km
  CHECK_THROWS_WITH(read_solid_file(file, options), Catch::Contains("is the unit right?"));
  CHECK_THROWS_WITH(read_solid_file(file), Catch::Contains("give geometry.unit"));
  write_atomically(file, binary_stl(box_shell(0.1, 0.05, 0.001)));  // metres taken as millimetres
  CHECK_THROWS_WITH(read_solid_file(file, options), Catch::Contains("0.1 x 0.05 x 0.001 mm"));
  options.unit = "m";
  CHECK(enclosed_volume(read_solid_file(file, options).shell) == Approx(5e-6));
}

TEST_CASE("a file that is not there, a folder or another kind of file is refused", "[io]") {
  const ScratchFolder scratch("stl-none");
  CHECK_THROWS_WITH(read_solid_file(scratch.path() / "no.stl"), Catch::Contains("no such file"));
  std::filesystem::create_directories(scratch.path() / "dir.stl");
  CHECK_THROWS_WITH(read_solid_file(scratch.path() / "dir.stl"), Catch::Contains("no plain file"));
  CHECK_THROWS_WITH(read_solid_file(scratch.path() / "frame.obj"),
                    Catch::Contains(".stl, .step or .stp"));
}
