// Makes a STEP file of the bodies that tools/dev/solid_of_layout.py lists: prisms with arcs,
// tapered bars and cones, fused by OpenCASCADE into one solid. Prints the modeller's own volume of
// each named piece and of the whole [mm³].
//
//   make_step BODIES FILE.step
#include <array>
#include <cmath>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepGProp.hxx>
#include <BRepLib.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <GProp_GProps.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_PrinterOStream.hxx>
#include <STEPControl_Controller.hxx>
#include <STEPControl_Writer.hxx>
#include <ShapeFix_Face.hxx>
#include <ShapeUpgrade_UnifySameDomain.hxx>
#include <Standard_Failure.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <gp_Ax2.hxx>

namespace {

struct Corner {
  double x = 0.0, y = 0.0, bulge = 0.0;
};

TopoDS_Edge side(const Corner& a, const Corner& b, double z) {
  const gp_Pnt from(a.x, a.y, z), to(b.x, b.y, z);
  if (a.bulge == 0.0) return BRepBuilderAPI_MakeEdge(from, to);
  // The middle of the arc lies beside the middle of the chord by bulge times half the chord.
  const gp_Pnt middle((a.x + b.x) / 2 + a.bulge * (b.y - a.y) / 2,
                      (a.y + b.y) / 2 - a.bulge * (b.x - a.x) / 2, z);
  return BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(from, middle, to).Value());
}

TopoDS_Wire loop(std::istream& in, double z) {
  std::size_t n = 0;
  in >> n;
  std::vector<Corner> corners(n);
  for (Corner& c : corners) in >> c.x >> c.y >> c.bulge;
  BRepBuilderAPI_MakeWire wire;
  for (std::size_t i = 0; i < n; ++i) wire.Add(side(corners[i], corners[(i + 1) % n], z));
  return wire.Wire();
}

TopoDS_Shape prism(std::istream& in) {
  double low = 0.0, high = 0.0;
  int loops = 0;
  in >> low >> high >> loops;
  BRepBuilderAPI_MakeFace face(loop(in, low), true);
  for (int i = 1; i < loops; ++i) face.Add(loop(in, low));
  ShapeFix_Face fix(face.Face());  // turns outline and holes the right way round
  fix.FixOrientation();
  return BRepPrimAPI_MakePrism(fix.Face(), gp_Vec(0, 0, high - low));
}

TopoDS_Shape bar(std::istream& in) {
  std::array<gp_Pnt, 8> p;
  for (gp_Pnt& at : p) {
    double x = 0.0, y = 0.0, z = 0.0;
    in >> x >> y >> z;
    at = gp_Pnt(x, y, z);
  }
  constexpr std::array<std::array<int, 4>, 6> faces{
      {{0, 1, 2, 3}, {7, 6, 5, 4}, {0, 4, 5, 1}, {1, 5, 6, 2}, {2, 6, 7, 3}, {3, 7, 4, 0}}};
  BRepBuilderAPI_Sewing skin;
  for (const auto& f : faces) {
    BRepBuilderAPI_MakeWire wire;
    for (std::size_t k = 0; k < f.size(); ++k)
      wire.Add(BRepBuilderAPI_MakeEdge(p.at(f[k]), p.at(f[(k + 1) % f.size()])));
    skin.Add(BRepBuilderAPI_MakeFace(wire.Wire(), false));
  }
  skin.Perform();
  TopoDS_Solid solid = BRepBuilderAPI_MakeSolid(TopoDS::Shell(skin.SewedShape()));
  BRepLib::OrientClosedSolid(solid);
  return solid;
}

TopoDS_Shape cone(std::istream& in) {
  double x = 0.0, y = 0.0, foot = 0.0, top = 0.0, height = 0.0;
  in >> x >> y >> foot >> top >> height;
  const gp_Ax2 axis(gp_Pnt(x, y, 0), gp_Dir(0, 0, height < 0.0 ? -1 : 1));
  height = std::abs(height);
  if (foot == top) return BRepPrimAPI_MakeCylinder(axis, foot, height).Shape();
  return BRepPrimAPI_MakeCone(axis, foot, top, height).Shape();
}

double volume(const TopoDS_Shape& shape) {
  GProp_GProps props;
  BRepGProp::VolumeProperties(shape, props);
  return props.Mass();
}

TopoDS_Shape fused(const TopTools_ListOfShape& shapes) {
  if (shapes.Extent() == 1) return shapes.First();
  TopTools_ListOfShape first, others;
  for (const TopoDS_Shape& s : shapes) (first.IsEmpty() ? first : others).Append(s);
  BRepAlgoAPI_Fuse fuse;
  fuse.SetArguments(first);
  fuse.SetTools(others);
  fuse.Build();
  if (fuse.HasErrors()) throw Standard_Failure("the bodies cannot be fused");
  ShapeUpgrade_UnifySameDomain merge(fuse.Shape(), true, true, false);
  merge.Build();
  return merge.Shape();
}

int make(const char* bodies, const char* target) {
  std::ifstream list(bodies);
  std::map<std::string, TopTools_ListOfShape> pieces;
  TopTools_ListOfShape all;
  for (std::string line; std::getline(list, line);) {
    std::istringstream in(line);
    std::string name, kind;
    in >> name >> kind;
    const TopoDS_Shape body = kind == "prism" ? prism(in) : kind == "bar" ? bar(in) : cone(in);
    if (!in) throw Standard_Failure(("a line is cut off: " + name).c_str());
    pieces[name].Append(body);
    all.Append(body);
  }
  for (const auto& [name, shapes] : pieces)
    std::cout << name << " " << std::setprecision(10) << volume(fused(shapes)) << "\n";
  const TopoDS_Shape whole = fused(all);
  std::cout << "whole " << volume(whole) << "\n";
  Message::DefaultMessenger()->RemovePrinters(STANDARD_TYPE(Message_PrinterOStream));
  STEPControl_Controller::Init();
  Interface_Static::SetIVal("write.surfacecurve.mode", 0);  // half the bytes
  STEPControl_Writer writer;
  if (writer.Transfer(whole, STEPControl_AsIs) != IFSelect_RetDone) return 1;
  return writer.Write(target) == IFSelect_RetDone ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  constexpr int wanted = 3;
  if (argc != wanted) {
    std::cerr << "make_step BODIES FILE.step\n";
    return 2;
  }
  try {
    return make(argv[1], argv[2]);
  } catch (const Standard_Failure& fault) {
    std::cerr << "make_step: " << fault.GetMessageString() << "\n";
    return 1;
  }
}
