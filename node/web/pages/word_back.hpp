#pragma once
// The button that takes one word back, which it knows by its number: being in touch, having asked.

#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// None where nothing was said.
std::optional<Undo> undo_of_word(Url action, const Result<Done>& said);
// The word that such a button was sent for.
std::optional<protocol::EventId> word_taken_back(const Scene& scene);

}  // namespace ladderline::node::web
