// The data that reach the page of the report; what the page makes of them is tested in tests/page.
#include <fstream>
#include <limits>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/colour_scales.hpp"
#include "io/h5_file.hpp"
#include "io/pictures.hpp"
#include "io/report_blocks.hpp"
#include "io/report_fields.hpp"
#include "io/report_html.hpp"
#include "io/result_h5.hpp"
#include "io/seal.hpp"
#include "io/summary.hpp"
#include "tests/io/sample_run.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;
using Json = nlohmann::json;

namespace {

/// A run of two kept steps. @param ended false: as after a kill
void write_run(const std::filesystem::path& folder, bool ended) {
  const Setup setup = sample::setup();
  ResultFile file = ResultFile::create(folder / "result.h5", sample::record(), setup.model);
  for (int step = 1; step <= 2; ++step)
    file.append_step(
        step_record({setup, sample::state(setup, step), sample::history(step), true}, step),
        sample::fields(setup.model, step));
  if (!ended) return file.write_checkpoint(sample::state(setup, 2), sample::history(2));
  const Result result = sample::result(setup, 2, Outcome::pressure_limit);
  const std::string summary = summary_json(setup, result, {"1.2.3", 1, 0.5, 10.0});
  file.write_result(result, summary);
  sample::write_text(folder / "summary.json", summary);
}

std::string page_of(const std::filesystem::path& place) {
  return report_html(std::vector{place}, "9.8.7");
}

/// The JSON that a page holds.
Json data_of(const std::string& page) {
  const std::string begin = "<script type=\"application/json\" id=\"data\">";
  const std::size_t at = page.find(begin) + begin.size();
  return Json::parse(page.substr(at, page.find("</script>", at) - at));
}
std::string missing_of(const Json& data) { return data["runs"][0]["missing"].dump(); }

}  // namespace

TEST_CASE("base64 is that of RFC 4648", "[io][report]") {
  const auto of = [](const std::string& text) {
    return base64(std::span(reinterpret_cast<const unsigned char*>(text.data()), text.size()));
  };
  // Section 10 of the RFC.
  CHECK(of("") == "");
  CHECK(of("f") == "Zg==");
  CHECK(of("fo") == "Zm8=");
  CHECK(of("foo") == "Zm9v");
  CHECK(of("foob") == "Zm9vYg==");
  CHECK(of("fooba") == "Zm9vYmE=");
  CHECK(of("foobar") == "Zm9vYmFy");
}

TEST_CASE("a rounded block keeps its range in the unit that is shown, and NaN out of it",
          "[io][report]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const ReportBlock block = rounded_block(std::vector{293.15, nan, 493.15}, 1.0, -273.15);
  CHECK(block.count == 3);
  CHECK(block.low == Approx(20.0));
  CHECK(block.high == Approx(220.0));
  const ReportBlock none = rounded_block(std::vector{nan, nan});
  CHECK(none.low == 0.0);
  CHECK(none.high == 0.0);
}

TEST_CASE("the lightness of every colour scale only rises", "[io][report]") {
  for (const ColourScale& scale : colour_scales()) {
    double before = -1.0;
    for (int i = 0; i <= 100; ++i) {
      const auto [r, g, b] = colour_at(scale, i / 100.0);
      const double light = 0.2126 * r + 0.7152 * g + 0.0722 * b;  // weights of ITU-R BT.709
      CAPTURE(std::string(scale.name), i);
      CHECK(light > before - 0.004);  // one step of an 8-bit channel
      before = light;
    }
    CHECK(before > 0.75);
  }
}

TEST_CASE("a field that nobody has named is shown under its own name with its unit",
          "[io][report]") {
  CHECK(shown_field("pressure", "Pa").unit == "MPa");
  const ShownField other = shown_field("frozen_in_strain", "1");
  CHECK(other.label == "Frozen in strain");
  CHECK(other.unit.empty());
}

TEST_CASE("a finished run is in the page as data, and odd names never as markup", "[io][report]") {
  const sample::TemporaryFolder folder;
  write_run(folder.path(), true);
  const std::string page = page_of(folder.path());
  CHECK(page.find("<script>alert") == std::string::npos);
  CHECK(page.find("\\u003cscript>alert") != std::string::npos);
  CHECK(page.find("Content-Security-Policy") != std::string::npos);
  CHECK(page.find("http-equiv") < page.find("<style>"));
  const Json run = data_of(page)["runs"][0];
  CHECK(run["title"] == sample::odd_name);
  CHECK(run["finished"] == true);
  CHECK(run["steps"].size() == 2);
  CHECK(run["summary"]["verdict"]["findings"].is_array());
  CHECK(run["model"]["mesh"].contains("triangles"));
  CHECK(run["model"]["mesh"].contains("line_from"));
  CHECK(run["missing"].empty());
  CHECK(data_of(page)["written_by"] == "9.8.7");
  // The file itself may be named instead of its folder.
  CHECK(page_of(folder / "result.h5") == page);
}

TEST_CASE("a killed run shows what it has and says what is missing", "[io][report]") {
  const sample::TemporaryFolder folder;
  write_run(folder.path(), false);
  const Json data = data_of(page_of(folder.path()));
  CHECK(data["runs"][0]["finished"] == false);
  CHECK(data["runs"][0]["fields"].size() > 3);
  CHECK(data["runs"][0]["summary"].is_null());
  CHECK_THAT(missing_of(data), Contains("The run has not ended"));
}

TEST_CASE("a file cut off in the middle shows the numbers beside it", "[io][report]") {
  const sample::TemporaryFolder folder;
  write_run(folder.path(), true);
  std::filesystem::resize_file(folder / "result.h5", 4000);
  const Json data = data_of(page_of(folder.path()));
  CHECK_THAT(missing_of(data), Contains("damaged") && Contains("summary.json"));
  CHECK(data["runs"][0]["summary"].contains("fill"));
  std::filesystem::remove(folder / "summary.json");
  CHECK_THAT(error_of([&] { page_of(folder.path()); }), Contains("damaged"));
}

TEST_CASE("a file of another version shows what is known and says so", "[io][report]") {
  const sample::TemporaryFolder folder;
  {
    H5File file = H5File::create(folder / "result.h5");
    file.set_attribute("format", std::string(result_format));
    file.set_attribute("format_version", std::int64_t{result_format_version + 5});
    file.write_text("/case/title", "From the future");
    file.close();
    add_seal(folder / "result.h5", folder / "result.h5");
  }
  const Json data = data_of(page_of(folder.path()));
  CHECK(data["runs"][0]["title"] == "From the future");
  CHECK_THAT(missing_of(data), Contains("format version 6") && Contains("mesh is missing") &&
                                   Contains("record over time"));
}

TEST_CASE("a folder without a result is refused by name", "[io][report]") {
  const sample::TemporaryFolder folder;
  CHECK_THAT(error_of([&] { page_of(folder.path()); }), Contains("result.h5"));
}

TEST_CASE("sheets of the fields are drawn without a display", "[io][report]") {
  const sample::TemporaryFolder folder;
  write_run(folder.path(), true);
  const auto files = write_pictures(folder.path(), folder / "pictures", "9.8.7");
  REQUIRE(files.size() >= 6);
  for (const auto& file : files) {
    CAPTURE(file.string());
    const std::string begin = sample::read_text(file).substr(0, 4);
    CHECK(begin == (file.extension() == ".png" ? "\x89PNG" : "%PDF"));
  }
  // Of a run of two parts, one of which the melt never reaches.
  const std::string front = sample::read_text(folder / "pictures/arrival_time.png");
  CHECK(front.size() > 5000);
}

TEST_CASE("what cannot be drawn is refused with the reason", "[io][report]") {
  const sample::TemporaryFolder folder;
  CHECK_THAT(error_of([&] { write_pictures(folder.path(), folder / "pictures", ""); }),
             Contains("result.h5"));
  const Setup setup = sample::setup();
  ResultFile::create(folder / "result.h5", sample::record(), setup.model);
  CHECK_THAT(error_of([&] { write_pictures(folder.path(), folder / "pictures", ""); }),
             Contains("no kept step"));
}
