#include "node/web/pages/pause_notice.hpp"

#include "node/commands/meetings.hpp"
#include "node/commands/path_pause.hpp"

namespace ladderline::node::web {

Html pause_notice(const Scene& scene, const WayView& way) {
    const std::string words = pause_words(way, scene.context().today());
    if (words.empty()) return Html();
    Html body = html("<p>{}</p>", words);
    const PersonView* me = person_on(way, scene.context().me.id());
    if (me != nullptr && me->role == protocol::MemberRole::guardian) {
        body.add("<p><a href=\"{}\">Your consent, to give it or to take it back</a></p>", url("/goings"));
    }
    if (way.owner.id == scene.context().me.id()) {
        body.add("<p><a href=\"{}\">Who is on your path, and a code to let somebody in</a></p>", url("/circles"));
    }
    return notice(Tone::caution, "Nothing with a mentor for now", body);
}

}  // namespace ladderline::node::web
