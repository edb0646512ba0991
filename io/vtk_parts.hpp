// What the writers of VTK files share: fields of nodes with their names and units, names of ids,
// channels as lines, compressed XML text, collections. VTK's types are named here, not included.
#pragma once

#include <string>
#include <vector>

#include "solver/stage/state.hpp"

class vtkFieldData;
class vtkPointData;
class vtkPolyData;
class vtkUnstructuredGrid;

namespace firstshot {

/// Adds the fields of points that stand for the given nodes; see vtk_writer.hpp for their names.
void add_point_fields(vtkPointData& data, const NodeFields& fields,
                      const std::vector<NodeId>& nodes);

/// Adds names in the order of the ids they belong to.
void add_names(vtkFieldData& data, const char* title, const std::vector<std::string>& names);

/// Gives an empty data set the channels of a model as lines, with "radius" at points, "channel id"
/// on lines and "channel names". @param unit_length of a coordinate unit [m] @return node of each
/// point
std::vector<NodeId> add_channels(vtkPolyData& data, const Model& model, double unit_length);

/// Text of a file: XML in UTF-8, compressed (zlib), base64.
std::string vtk_text(vtkUnstructuredGrid& data);
std::string vtk_text(vtkPolyData& data);

/// A file of a collection and the time it belongs to.
struct CollectionEntry {
  double time = 0.0;  ///< [s]
  int part = 0;
  std::string name, file;
};
/// Text of a .pvd file.
std::string collection_text(const std::vector<CollectionEntry>& entries);

}  // namespace firstshot
