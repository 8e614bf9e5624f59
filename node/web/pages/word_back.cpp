#include "node/web/pages/word_back.hpp"

namespace ladderline::node::web {

std::optional<Undo> undo_of_word(Url action, const Result<Done>& said) {
    if (!said) return std::nullopt;
    return Undo{std::move(action), {{"word", to_hex(said.value().id.view())}}};
}

std::optional<protocol::EventId> word_taken_back(const Scene& scene) {
    const auto bytes = from_hex(scene.request.form.get("word"));
    if (!bytes || bytes.value().size() != protocol::EventId::size) return std::nullopt;
    return protocol::EventId::from(bytes.value());
}

}  // namespace ladderline::node::web
