#include "node/app/execute.hpp"

#include <algorithm>

namespace ladderline::node {
namespace {

// Names and sentences of peers may hold bytes that a terminal would obey.
std::string printable(std::string text) {
    for (char& c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if ((byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F) c = '?';
    }
    return text;
}

std::string one_line(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    return printable(std::move(text));
}

}  // namespace

ControlAnswer to_answer(const Error& error, bool json) {
    ControlAnswer out;
    out.exit_code = static_cast<std::uint8_t>(cli::exit_code_of(error.fault()));
    if (json) {
        const boost::json::object said{{"error", error.sentence()}, {"exit_code", out.exit_code}};
        out.out = boost::json::serialize(said) + "\n";
    }
    out.err = "ladderline: " + one_line(error.sentence()) + "\n";
    return out;
}

ControlAnswer to_answer(const cli::Answer& answer, bool json) {
    return {0, (json ? boost::json::serialize(answer.json) : printable(answer.text)) + "\n", {}};
}

ControlAnswer execute(const cli::CommandLine& line, Context& context) {
    const Result<cli::Answer> answer = line.command(context);
    return answer ? to_answer(answer.value(), line.json) : to_answer(answer.error(), line.json);
}

}  // namespace ladderline::node
