#include "io/step_reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <exception>
#include <istream>
#include <map>
#include <sstream>
#include <string_view>
#include <utility>

#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_PrinterOStream.hxx>
#include <Poly_Triangulation.hxx>
#include <STEPControl_Reader.hxx>
#include <Standard_Failure.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <fmt/format.h>

#include "io/child_process.hpp"
#include "io/shell_builder.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3;       // [m], the unit in which OpenCASCADE's tolerances make sense
constexpr double arc_turn = 0.5;  // largest turn of the normal between neighbours [rad]
constexpr double joined = 1e-7;   // points of two faces nearer than this are one [mm]
constexpr std::streamoff tail_bytes = 1024;

/// First and last bytes tell a whole file from one that is cut off or something else.
void check_frame(std::istream& in, const std::string& name) {
  std::string text(static_cast<std::size_t>(tail_bytes), '\0');
  const auto read = [&] {
    in.read(text.data(), tail_bytes);
    const std::string found = text.substr(0, static_cast<std::size_t>(in.gcount()));
    in.clear();
    return found;
  };
  in.seekg(0);
  if (read().find("ISO-10303-21") == std::string::npos)
    throw Error(name + ": this is no STEP file: it does not begin with \"ISO-10303-21\"");
  in.seekg(0, std::ios::end);
  in.seekg(std::max<std::streamoff>(0, static_cast<std::streamoff>(in.tellg()) - tail_bytes));
  if (read().find("END-ISO-10303-21") == std::string::npos)
    throw Error(name + ": the file is cut off: \"END-ISO-10303-21\" is missing at its end");
  in.seekg(0);
}

/// Symbol of the unit that the file names; STEP writes "millimetre", "MILLIMETRE", "inch" and so
/// on.
std::string unit_of(STEPControl_Reader& reader) {
  TColStd_SequenceOfAsciiString lengths, angles, solid_angles;
  reader.FileUnits(lengths, angles, solid_angles);
  if (lengths.IsEmpty()) return "mm";
  TCollection_AsciiString word = lengths.First();
  word.LowerCase();
  const std::string_view text(word.ToCString());
  constexpr std::array<std::pair<std::string_view, const char*>, 7> known{{{"milli", "mm"},
                                                                           {"centi", "cm"},
                                                                           {"micro", "um"},
                                                                           {"inch", "in"},
                                                                           {"metre", "m"},
                                                                           {"meter", "m"},
                                                                           {"", "mm"}}};
  return std::find_if(known.begin(), known.end(),
                      [&](const auto& k) { return text.find(k.first) != std::string_view::npos; })
      ->second;
}

/// Gives points nearer than `joined` the same index: two faces compute the points of their common
/// edge each in its own way. Points lie in the cells of a coarse grid; one near the side of a cell
/// is looked for beyond it too.
class PointPool {
 public:
  std::int32_t index(const gp_Pnt& p, ShellBuilder& shell) {
    for (const double x : {p.X() - joined, p.X() + joined}) {
      for (const double y : {p.Y() - joined, p.Y() + joined}) {
        for (const double z : {p.Z() - joined, p.Z() + joined}) {
          if (const std::int32_t known = find(p, cell_of(x, y, z)); known >= 0) return known;
        }
      }
    }
    const std::int32_t added = shell.point({p.X() * mm, p.Y() * mm, p.Z() * mm});
    cells_[cell_of(p.X(), p.Y(), p.Z())].emplace_back(p, added);
    return added;
  }

 private:
  using Cell = std::array<double, 3>;

  static Cell cell_of(double x, double y, double z) {
    constexpr double side = 1000.0 * joined;
    return {std::floor(x / side), std::floor(y / side), std::floor(z / side)};
  }

  std::int32_t find(const gp_Pnt& p, const Cell& cell) {
    const auto at = cells_.find(cell);
    if (at == cells_.end()) return -1;
    for (const auto& [known, index] : at->second)
      if (known.Distance(p) <= joined) return index;
    return -1;
  }

  std::map<Cell, std::vector<std::pair<gp_Pnt, std::int32_t>>> cells_;
};

class FaceCollector {
 public:
  explicit FaceCollector(const std::string& name) : name_(name) {}

  void add(const TopoDS_Face& face) {
    TopLoc_Location location;
    const Handle(Poly_Triangulation) triangles = BRep_Tool::Triangulation(face, location);
    if (triangles.IsNull()) {
      ++n_missing_;
      return;
    }
    std::vector<std::int32_t> index;
    for (int i = 1; i <= triangles->NbNodes(); ++i) {
      const gp_Pnt p = triangles->Node(i).Transformed(location.Transformation());
      if (!std::isfinite(p.X()) || !std::isfinite(p.Y()) || !std::isfinite(p.Z()))
        throw Error(name_ + ": a coordinate is not a finite number");
      index.push_back(pool_.index(p, shell_));
    }
    const bool turned =
        (face.Orientation() == TopAbs_REVERSED) != location.Transformation().IsNegative();
    for (int i = 1; i <= triangles->NbTriangles(); ++i) {
      std::array<int, 3> n{};
      triangles->Triangle(i).Get(n[0], n[1], n[2]);
      if (turned) std::swap(n[1], n[2]);
      shell_.add_triangle({index[n[0] - 1], index[n[1] - 1], index[n[2] - 1]});
    }
  }

  int n_missing() const { return n_missing_; }
  Shell take() { return shell_.take(); }

 private:
  const std::string& name_;
  ShellBuilder shell_;
  PointPool pool_;
  int n_missing_ = 0;
};

StepSurface read_checked(std::istream& in, const std::string& name, double tolerance) {
  // Its messages would go to standard output, which is not ours to fill.
  Message::DefaultMessenger()->RemovePrinters(STANDARD_TYPE(Message_PrinterOStream));
  STEPControl_Reader reader;
  Interface_Static::SetCVal("xstep.cascade.unit", "MM");
  if (reader.ReadStream(name.c_str(), in) != IFSelect_RetDone)
    throw Error(name + ": this is no valid STEP file");
  StepSurface surface;
  surface.unit = unit_of(reader);
  if (reader.TransferRoots() == 0) throw Error(name + ": the file holds no shape");
  TopoDS_Shape shape = reader.OneShape();
  if (shape.IsNull() || !TopExp_Explorer(shape, TopAbs_FACE).More())
    throw Error(name + ": the file holds no surface; a solid is needed");
  const BRepMesh_IncrementalMesh mesher(shape, tolerance / mm, false, arc_turn, false);
  FaceCollector faces(name);
  for (TopExp_Explorer at(shape, TopAbs_FACE); at.More(); at.Next())
    faces.add(TopoDS::Face(at.Current()));
  if (faces.n_missing() > 0)
    surface.notes.push_back(
        fmt::format("{}: {} faces could not be turned into triangles.", name, faces.n_missing()));
  surface.shell = faces.take();
  if (surface.shell.triangles.empty())
    throw Error(name + ": the file holds no surface with an area; a solid is needed");
  return surface;
}

StepSurface read_guarded(std::istream& in, const std::string& name, double tolerance) {
  try {
    return read_checked(in, name, tolerance);
  } catch (const Standard_Failure& fault) {
    throw Error(
        fmt::format("{}: this STEP file cannot be read ({})", name, fault.GetMessageString()));
  }
}

// The surface as bytes on their way from the process that reads it.

void put(std::string& bytes, const std::string& text) {
  const std::size_t size = text.size();
  bytes.append(reinterpret_cast<const char*>(&size), sizeof size).append(text);
}

template <class T>
void put(std::string& bytes, const std::vector<T>& values) {
  const auto* data = reinterpret_cast<const char*>(values.data());
  put(bytes, values.empty() ? std::string() : std::string(data, values.size() * sizeof(T)));
}

std::string take_text(std::string_view& bytes) {
  std::size_t size = 0;
  std::memcpy(&size, bytes.data(), sizeof size);
  std::string text(bytes.substr(sizeof size, size));
  bytes.remove_prefix(sizeof size + size);
  return text;
}

template <class T>
std::vector<T> take_values(std::string_view& bytes) {
  const std::string text = take_text(bytes);
  std::vector<T> values(text.size() / sizeof(T));
  if (!values.empty()) std::memcpy(values.data(), text.data(), text.size());
  return values;
}

constexpr char mark_of_surface = 's', mark_of_error = 'e';

std::string bytes_of(const StepSurface& surface) {
  std::string bytes(1, mark_of_surface);
  put(bytes, surface.unit);
  put(bytes, fmt::format("{}", fmt::join(surface.notes, "\n")));
  put(bytes, surface.shell.points);
  put(bytes, surface.shell.triangles);
  return bytes;
}

StepSurface surface_of(std::string_view bytes) {
  StepSurface surface;
  surface.unit = take_text(bytes);
  std::istringstream notes(take_text(bytes));
  for (std::string note; std::getline(notes, note);) surface.notes.push_back(note);
  surface.shell.points = take_values<Point3>(bytes);
  surface.shell.triangles = take_values<std::array<std::int32_t, 3>>(bytes);
  return surface;
}

}  // namespace

// OpenCASCADE follows references of a damaged file to where nothing is, and the process with it. So
// it reads in one of its own.
StepSurface read_step(std::istream& in, const std::string& name, double tolerance,
                      unsigned longest) {
  check_frame(in, name);
  const std::string answer = answer_of_child(
      [&] {
        try {
          return bytes_of(read_guarded(in, name, tolerance));
        } catch (const std::exception& e) {
          return mark_of_error + std::string(e.what());
        }
      },
      longest);
  if (answer.empty())
    throw Error(name + ": this STEP file is damaged: reading it broke off; export it again");
  if (answer.front() == mark_of_error) throw Error(answer.substr(1));
  return surface_of(std::string_view(answer).substr(1));
}

}  // namespace firstshot
