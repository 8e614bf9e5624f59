#include "node/cli/answer.hpp"

#include <boost/json/src.hpp>

namespace ladderline::node::cli {

Answer answer_of(const Done& done) {
    boost::json::object json{{"said", done.sentence}};
    if (!done.id.is_zero()) json["id"] = to_hex(done.id.view());
    return {done.sentence, std::move(json)};
}

int exit_code_of(Fault fault) {
    switch (fault) {
        case Fault::bad_input:
            return 2;
        case Fault::refused:
            return 3;
        case Fault::not_found:
            return 4;
        case Fault::wrong_key:
            return 5;
        case Fault::damaged:
        case Fault::unsupported:
            return 6;
        case Fault::busy:
            return 7;
        case Fault::disk:
            return 8;
        case Fault::network:
        case Fault::peer:
            return 9;
        case Fault::not_yet:
        case Fault::cancelled:
            return 10;
    }
    return 1;
}

std::string in_days(std::int32_t days) {
    const std::int32_t count = days < 0 ? -days : days;
    const std::string words = std::to_string(count) + (count == 1 ? " day" : " days");
    if (days == 0) return "today";
    return days > 0 ? "in " + words : words + " ago";
}

std::string lines(const std::vector<std::string>& all) {
    std::string out;
    for (const std::string& line : all) out += (out.empty() ? "" : "\n") + line;
    return out;
}

}  // namespace ladderline::node::cli
