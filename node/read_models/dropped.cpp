// Kept as settings "dropped CIRCLE MEMBER KIND", ids in hexadecimal; the value is the moment in milliseconds.

#include "node/read_models/dropped.hpp"

#include <charconv>

#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

std::string prefix_of(const CircleId& circle) {
    return "dropped " + to_hex(circle.view()) + " ";
}

template <class T>
bool read_number(std::string_view text, T& out) {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), out);
    return error == std::errc{} && end == text.data() + text.size();
}

}  // namespace

Result<Dropped> dropped(store::sqlite::Database& db, const CircleId& circle) {
    const std::string prefix = prefix_of(circle);
    constexpr std::size_t id_digits = 2 * MemberId::size;
    Dropped out;
    TRY(const auto names, store::setting_names(db, prefix));
    for (const std::string& name : names) {
        const std::string_view rest = std::string_view(name).substr(prefix.size());
        TRY(const auto value, store::get_text_setting(db, name));
        std::uint16_t kind = 0;
        WallTime until;
        if (rest.size() <= id_digits + 1 || !read_number(rest.substr(id_digits + 1), kind) || !value ||
            !read_number(*value, until.ms)) {
            continue;
        }
        const auto id = from_hex(rest.substr(0, id_digits));
        if (id && id.value().size() == MemberId::size) out[{MemberId::from(id.value()), kind}] = until;
    }
    return out;
}

Result<void> mark_dropped(store::sqlite::Database& db, const CircleId& circle, const MemberId& by, std::uint16_t kind,
                          WallTime until) {
    return store::put_text_setting(db, prefix_of(circle) + to_hex(by.view()) + " " + std::to_string(kind),
                                   std::to_string(until.ms));
}

}  // namespace ladderline::node
