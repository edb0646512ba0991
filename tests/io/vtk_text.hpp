// VTK's own readers on a text in memory.
#pragma once

#include <string>

#include <vtkNew.h>
#include <vtkSmartPointer.h>

namespace firstshot::sample {

template <class Reader>
auto parsed(const std::string& text) {
  vtkNew<Reader> reader;
  reader->ReadFromInputStringOn();
  reader->SetInputString(text);
  reader->Update();
  return vtkSmartPointer(reader->GetOutput());
}

}  // namespace firstshot::sample
