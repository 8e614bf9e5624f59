#include "node/app/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include "node/cli/wrapped.hpp"

namespace ladderline::node {

void write_words(std::FILE* to, std::string_view text) {
    constexpr unsigned columns_min = 40;  // below it nothing is gained
    winsize screen{};
    const bool is_screen = ::isatty(fileno(to)) != 0 && ::ioctl(fileno(to), TIOCGWINSZ, &screen) == 0;
    if (!is_screen || screen.ws_col < columns_min || text.starts_with('{') || text.starts_with('[')) {
        std::fwrite(text.data(), 1, text.size(), to);
        return;
    }
    const std::string broken = cli::wrapped(text, screen.ws_col);
    std::fwrite(broken.data(), 1, broken.size(), to);
}

}  // namespace ladderline::node
