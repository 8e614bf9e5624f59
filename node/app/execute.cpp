#include "node/app/execute.hpp"

#include <algorithm>

#include "node/commands/couriers.hpp"

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

Result<void> fits_store(const cli::CommandLine& line, Context& context) {
    TRY(const bool courier, is_courier(context.db));
    if (courier && !line.for_courier &&
        (line.command || line.join || line.courier_call || line.new_pages_address || line.feed || line.phone)) {
        return Error{Fault::refused,
                     "This store is a courier's: it is in no circle and has no pages. It knows 'run', 'courier place', "
                     "'courier list' and 'courier end', and how to look after itself."};
    }
    if (courier || !line.for_courier) return ok();
    return Error{Fault::refused,
                 "This store is a person's, not a courier's; make a courier's in a folder of its own with 'ladderline "
                 "--home FOLDER courier begin'. Nothing was changed."};
}

ControlAnswer execute(const cli::CommandLine& line, Context& context) {
    const Result<void> fits = fits_store(line, context);
    if (!fits) return to_answer(fits.error(), line.json);
    const Result<cli::Answer> answer = line.command(context);
    return answer ? to_answer(answer.value(), line.json) : to_answer(answer.error(), line.json);
}

}  // namespace ladderline::node
