// Small case texts and a way to look at the error that a text raises.
#pragma once

#include <filesystem>
#include <optional>
#include <stdexcept>
#include <string>

#include <unistd.h>

#include "io/build_setup.hpp"
#include "io/case.hpp"
#include "io/case_error.hpp"
#include "tests/refusal.hpp"

namespace firstshot {

/// A disc with an inline layout; complete and valid.
inline std::string disc_case() {
  return R"(title = "Disc"
[layout]
unit = "mm"
[[layout.part]]
name = "disc"
thickness = "2 mm"
circle = { centre = [0, 0], diameter = "100 mm" }
[injection]
at = [0, 0]
diameter = "4 mm"
[material]
card = "./grade.toml"
[process]
fill_time = "0.8 s"
)";
}

/// `text` with the first `from` replaced; the test is wrong when it is not there.
inline std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  if (at == std::string::npos) throw std::logic_error("the sample does not hold: " + from);
  return text.replace(at, from.size(), to);
}

/// Cards that need no file; vents may be as deep as a material has it by itself.
inline Cards plain_cards() {
  Cards cards;
  cards.material.name = "plain";
  cards.material.viscosity = Newtonian{100.0, 0.0, 493.15};
  cards.material.heat_capacity = {{300.0}, {2000.0}};
  cards.material.melt_temperature_min = 453.15;
  cards.material.melt_temperature_max = 553.15;
  cards.material.mould_temperature_min = 283.15;
  cards.material.mould_temperature_max = 353.15;
  return cards;
}

/// The error that reading this text raises, if any.
inline std::optional<CaseError> error_of(const std::string& text,
                                         const std::filesystem::path& folder = {}) {
  return test::refused<CaseError>([&] { read_case_text(text, "case.toml", folder); });
}

/// Empty folder that is removed at the end of the test.
class ScratchFolder {
 public:
  explicit ScratchFolder(const std::string& name)
      : path_(std::filesystem::temp_directory_path() /
              ("firstshot-" + name + "-" + std::to_string(getpid()))) {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~ScratchFolder() {
    std::error_code ec;
    std::filesystem::remove_all(path_, ec);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace firstshot
