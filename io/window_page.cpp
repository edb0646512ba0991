#include "io/window_page.hpp"

#include <cmath>

#include <fmt/format.h>

#include "io/report_blocks.hpp"
#include "io/window_picture.hpp"
#include "io/window_words.hpp"

namespace firstshot {
namespace {

/// Text of a case or card as text of a page, whatever it holds.
std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out.push_back(c);
    }
  }
  return out;
}

constexpr const char* head = R"(<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>)";
constexpr const char* style = R"(</title><style>
body{font:15px/1.5 sans-serif;color:#1f2a30;background:#fff;max-width:62rem;margin:1.5rem auto;padding:0 1rem}
h1{font:1.6rem serif;margin:0}
h2{font:1.15rem serif;margin:1.4rem 0 .3rem}
img{width:100%;height:auto;border:1px solid #ccc}
table{border-collapse:collapse;font-size:.9rem}
th,td{border-bottom:1px solid #ccc;padding:.15rem .7rem .15rem 0;text-align:left;vertical-align:top}
td.n{text-align:right;font-variant-numeric:tabular-nums}
i{display:inline-block;width:.8rem;height:.8rem;border:1px solid #1f2a30;margin-right:.4rem}
footer{margin-top:1.5rem;font-size:.85rem;color:#54636b}
@media print{body{margin:0;max-width:none}tr{break-inside:avoid}}
</style></head><body>
)";

std::string paragraphs(const std::vector<std::string>& sentences) {
  std::string text;
  for (std::string sentence : sentences) {
    if (!sentence.empty() && 'a' <= sentence[0] && sentence[0] <= 'z') sentence[0] -= 'a' - 'A';
    text += "<p>" + escaped(sentence) + ".</p>\n";
  }
  return text;
}

std::string class_cell(ShotClass kind) {
  return fmt::format("<td><i style=\"background:{}\"></i>{}</td>", shot_class_colour(kind),
                     shot_class_words(kind));
}

std::string number_cell(double value) {
  return fmt::format("<td class=\"n\">{}</td>", std::isfinite(value) ? short_number(value) : "");
}

std::string runs_table(const WindowRecord& record) {
  std::string text = "<table><thead><tr>";
  for (const WindowAxis& axis : record.axes)
    text += fmt::format("<th scope=\"col\">{}</th>", escaped(axis_words(axis.key())));
  text +=
      "<th scope=\"col\">shot</th><th scope=\"col\">peak pressure [MPa]</th><th "
      "scope=\"col\">opening "
      "force [kN]</th><th scope=\"col\">full [%]</th><th "
      "scope=\"col\">run</th></tr></thead><tbody>\n";
  constexpr double percent = 0.01;
  for (const WindowRun& run : record.runs) {
    const WindowShot& shot = run.judged.shot;
    text += "<tr>";
    for (std::size_t k = 0; k < 2; ++k)
      text += fmt::format(
          "<td>{}</td>",
          escaped(short_quantity(record.axes[k].number(run.values[k]), record.axes[k].unit())));
    text += class_cell(shot.kind) + number_cell(shot.pressure) + number_cell(shot.clamp);
    text += number_cell(run.reason.empty() ? run.judged.filled / percent : unknown_load);
    text += fmt::format("<td>{}{}</td></tr>\n", escaped(run.folder),
                        run.reason.empty() ? "" : ": " + escaped(run.reason));
  }
  return text + "</tbody></table>\n";
}

}  // namespace

std::string window_html(const WindowRecord& record, std::span<const unsigned char> png,
                        const std::string& version) {
  const std::string title = record.title.empty() ? "Process window" : record.title;
  const std::vector<std::string> best = best_sentences(record);
  std::string page = head + escaped(title) + style;
  page += fmt::format(
      "<main><h1>{}</h1>\n<p>Process window; {} settings were run at accuracy {}: "
      "{}.</p>\n",
      escaped(title), record.runs.size(), escaped(record.accuracy), escaped(count_words(record)));
  page +=
      fmt::format("<img alt=\"Map of the process window. {}\" src=\"data:image/png;base64,{}\">\n",
                  escaped(best.front()), base64(png));
  page += "<h2>Best setting</h2>\n" + paragraphs(best);
  if (record.shots) page += "<h2>Shots that vary</h2>\n" + paragraphs(shots_sentences(record));
  page += "<h2>Runs</h2>\n" + runs_table(record);
  page += fmt::format(
      "</main><footer><p>Results are estimates that support the judgement of a person, not a "
      "release "
      "of a mould. Hot melt, high pressure and moving platens injure: follow the machine's manual "
      "and "
      "local codes; settings are for a qualified setter.</p><p>firstshot "
      "{}</p></footer></body></html>\n",
      escaped(version));
  return page;
}

}  // namespace firstshot
