#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/window_page.hpp"
#include "io/window_picture.hpp"
#include "io/window_record.hpp"
#include "io/window_words.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/io/schema_breach.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
using nlohmann::json;

WindowRun run_at(const WindowRecord& record, const Point& at, ShotClass kind, double pressure) {
  WindowRun run;
  run.folder = "rounds/01/runs/00001";
  run.values = {record.axes[0].value(at.x), record.axes[1].value(at.y)};
  run.judged.shot.at = at;
  run.judged.shot.kind = kind;
  run.judged.shot.pressure = pressure;
  run.judged.shot.limit = kind == ShotClass::over_pressure ? 100.0 : unknown_load;
  run.judged.filled = kind == ShotClass::short_shot ? 0.9 : 1.0;
  if (kind == ShotClass::no_result) run.reason = "a, \"b\"";
  return run;
}

/// Good where it is hot (to the right), over pressure at the left, one run without a result.
WindowRecord record(ShotClass right = ShotClass::fills) {
  WindowRecord r;
  r.title = sample::odd_name;
  r.accuracy = "preview";
  r.axes = {window_axis_from("process.melt_temperature=200 degC..240 degC"),
            window_axis_from("process.fill_time=0.2 s..1.8 s ratio")};
  r.lattice = {2, 2, {}};
  for (const Point& at : lattice_points(2, 2)) {
    r.runs.push_back(
        run_at(r, at, at.x > 0.5 ? right : ShotClass::over_pressure, at.x > 0.5 ? 90.0 : 110.0));
    r.lattice.shots.push_back(r.runs.back().judged.shot);
  }
  r.runs.push_back(run_at(r, {0.1, 0.2}, ShotClass::no_result, unknown_load));
  r.edges = edges_of(r.lattice);
  r.map = window_map(r.lattice, r.edges);
  return r;
}

WindowRecord good_record() {
  WindowRecord r = record();
  WindowBest best;
  best.run = r.runs[1];
  best.clearance = 0.25;
  best.sides = {{0, false, 220.0, 222.0, 20.0, 0.5, ShotClass::over_pressure},
                {0, true, 240.0, 240.0, 0.0, 0.0, std::nullopt}};
  r.best = best;
  WindowShots shots;
  shots.varied = {varied_from("material.regrind=0 %..20 %")};
  shots.shots = 40;
  shots.counts[static_cast<std::size_t>(ShotClass::fills)] = 36;
  shots.counts[static_cast<std::size_t>(ShotClass::too_cold)] = 4;
  shots.interval = share_interval(36, 40, shots_confidence);
  shots.differ = {"higher regrind"};
  r.shots = shots;
  return r;
}

std::string breach(const json& value, const json& schema) {
  return schema_breach(value.dump(), schema.dump());
}

json schema() {
  return json::parse(
      sample::read_text(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/window.schema.json"));
}

std::string joined(const std::vector<std::string>& sentences) {
  std::string text;
  for (const std::string& s : sentences) text += s + "\n";
  return text;
}

}  // namespace

TEST_CASE("every window keeps to its schema", "[io][window]") {
  CHECK(breach(json::parse(window_json(record())), schema()).empty());
  const json whole = json::parse(window_json(good_record()));
  CHECK(breach(whole, schema()).empty());
  CHECK(whole["best"]["sides"][0]["beyond"] == "over_pressure");
  CHECK(whole["best"]["sides"][1]["beyond"].is_null());
  CHECK(whole["robustness"]["share_low"].get<double>() == Approx(0.763362600124052).epsilon(1e-8));
  CHECK(whole["counts"]["over_pressure"] == 2);
  // Pressure falls from 110 to 90 over the range and 100 is the limit.
  CHECK(whole["edges"][0]["at"][0].get<double>() == Approx(220.0));
  json wrong = whole;
  wrong["runs"][0]["class"] = "good";
  CHECK_FALSE(breach(wrong, schema()).empty());
}

TEST_CASE("the table of a window has a row for each run", "[io][window]") {
  const std::string text = window_csv(record());
  CHECK_THAT(text, Contains("folder,process.melt_temperature [degC],process.fill_time [s],class"));
  CHECK_THAT(text, Contains("rounds/01/runs/00001,240,0.2,fills,90,,1,\r\n"));
  CHECK_THAT(text, Contains("no_result,,,,\"a, \"\"b\"\"\"\r\n"));
}

TEST_CASE("a window is told in plain words", "[io][window]") {
  const std::string good = joined(best_sentences(good_record()));
  CHECK_THAT(good, Contains("best: 240 degC, 0.2 s") &&
                       Contains("over pressure below 220 degC (20 K away, 50 % of the range; good "
                                "at 222 degC)") &&
                       Contains("no edge up to 240 degC"));
  const std::string shots = joined(shots_sentences(good_record()));
  CHECK_THAT(shots, Contains("90 % (36 of 40 runs; 76 to 97 % with a confidence of 95 %)") &&
                        Contains("4 too cold; they have higher regrind"));
  CHECK(shots_sentences(record()).empty());
  // Nothing is good: which rule blocks, and what came nearest.
  const std::string bad = joined(best_sentences(record(ShotClass::short_shot)));
  CHECK_THAT(bad, Contains("no setting in this range gives a good shot") &&
                      Contains("most often: short") && Contains("fullest: 200 degC"));
}

TEST_CASE("the page and the picture of a window show what texts hold and run none of it",
          "[io][window]") {
  const sample::TemporaryFolder folder;
  write_window_picture(good_record(), folder / "window");
  const std::string png = sample::read_text(folder / "window.png");
  CHECK(png.starts_with("\x89PNG"));
  CHECK(sample::read_text(folder / "window.pdf").starts_with("%PDF"));
  const std::string page = window_html(
      good_record(), {reinterpret_cast<const unsigned char*>(png.data()), png.size()}, "1.2.3");
  CHECK_THAT(page, Contains("&lt;script&gt;") && !Contains("<script") &&
                       Contains("data:image/png;base64,iVBOR") && Contains("36 of 40"));
  CHECK_THAT(page, Contains("default-src 'none'"));
  CHECK_THROWS_AS(write_window_picture(record(), folder / "none" / "window"), Error);
}

TEST_CASE("each class of the map has a colour of its own", "[io][window]") {
  for (const ShotClass a : shot_classes)
    for (const ShotClass b : shot_classes)
      CHECK((shot_class_colour(a) == shot_class_colour(b)) == (a == b));
}

}  // namespace firstshot::test
