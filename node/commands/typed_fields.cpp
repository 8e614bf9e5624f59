#include "node/commands/typed_fields.hpp"

#include "node/domain/radio/adif.hpp"

namespace ladderline::node {

Result<void> check_frequency(const std::string& text) {
    if (text.empty()) return ok();
    TRY(domain::parse_megahertz(text));
    return ok();
}

Result<void> check_length(const std::string& text, std::size_t bytes_max, std::string_view what) {
    if (text.size() <= bytes_max) return ok();
    return Error{Fault::bad_input, "The " + std::string(what) + " is too long; keep it short."};
}

}  // namespace ladderline::node
