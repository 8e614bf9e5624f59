// A function fits a screen, a file one idea, a line the window.

#include "tests/tidy/functions.hpp"
#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

constexpr std::size_t function_lines_max = 70;
constexpr std::size_t file_lines_max = 500;
constexpr std::size_t line_columns_max = 120;

// Tables, prose and pictures have lines and lengths of their own.
bool is_written_code(const Source& source) {
    for (const std::string_view ending :
         {".cpp", ".hpp", ".h", ".js", ".css", ".html", ".sql", ".sh", ".py", ".R", ".cmake", "CMakeLists.txt"}) {
        if (source.ends_with(ending)) return true;
    }
    return source.below(".ci/");
}

// Code points, not bytes: continuation bytes of UTF-8 take no column.
std::size_t columns(std::string_view line) {
    std::size_t count = 0;
    for (const char c : line) count += (static_cast<unsigned char>(c) & 0xC0) != 0x80 ? 1 : 0;
    return count;
}

}  // namespace

void check_sizes(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        if (!is_written_code(source)) continue;
        if (source.line_count() > file_lines_max) {
            out.push_back({source.path, file_lines_max + 1, "file_length",
                           std::to_string(source.line_count()) + " lines; split it by idea or state (500 at most)."});
        }
        for (std::size_t line = 1; line <= source.line_count(); ++line) {
            const std::size_t wide = columns(source.line(line));
            if (wide <= line_columns_max) continue;
            out.push_back({source.path, line, "line_width", std::to_string(wide) + " columns (120 at most)."});
        }
        for (const Function& function : functions_of(source)) {
            const std::size_t first = source.line_of(function.head);
            const std::size_t lines = source.line_of(function.close) - first + 1;
            if (lines <= function_lines_max) continue;
            out.push_back({source.path, first, "function_length",
                           function.name + " has " + std::to_string(lines) + " lines (70 at most)."});
        }
    }
}

}  // namespace ladderline::tidy
