#include "node/commands/joining.hpp"

#include "store/settings/settings.hpp"

namespace ladderline::node {

Result<Joiner> joiner(Context& context) {
    TRY(const auto name, store::get_text_setting(context.db, "owner_name"));
    if (!name) return Error{Fault::not_found, "This store has no owner yet; begin with 'ladderline begin'."};
    TRY(const auto minor, store::get_text_setting(context.db, "owner_under_18"));
    return Joiner{*name, minor == "yes"};
}

}  // namespace ladderline::node
