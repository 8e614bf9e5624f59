#pragma once
// Forms about one item, used on the next step, on the whole way and on the item's own page.

#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// Where to go back to after a tick; sent along with the form.
inline constexpr std::string_view back_to_start = "start";
inline constexpr std::string_view back_to_stage = "stage";

// True if the viewer, who owns this way, ticks the item themselves.
bool is_own_tick(const Context& context, const WayView& way, const domain::Item& item);
// Day, evidence, and what the gates of the item ask for, with the button. `way` is the viewer's own.
Html tick_form(const Scene& scene, const WayView& way, const domain::Item& item, std::string_view back);
// A tick of it may be made by a button: nobody else, and no call sign, has to be named.
bool asks_for_day_alone(const domain::Item& item);
// Several small buttons for an item in a list: tick, undo, skip, open again.
Html quick_buttons(const Scene& scene, const WayView& way, const domain::Item& item);
// "needs nobody's signature" or who signs and why they.
std::string who_signs_words(const Context& context, const WayView& way, const domain::Item& item);
std::string kind_words(domain::ItemKind kind);
// "09.06" in a face where zero is not O, and the words.
Html item_name(const domain::Item& item);
std::string person_words(const WayView& way, const domain::PersonId& person);

}  // namespace ladderline::node::web
