// Would what stands here survive a broken machine?

#include "node/commands/copy_work.hpp"
#include "node/commands/store_state.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::int32_t copy_old_days = 31;

// It was said when the store was opened, but not where somebody who uses the pages alone sees it.
Html older_part(const Scene& scene, const StoreState& state) {
    if (state.older.empty()) return Html();
    Html body = html("<p>{}</p>", state.older);
    body += button_form(scene.request, url("/store/read"), "I have read this");
    return notice(Tone::caution, "This store is older than it was", body);
}

Html paper_part(const StoreState& state) {
    if (state.paper.empty()) {
        return html(
            "<p>{}</p><p>Keep the sheet where fire and water do not reach it, away from this machine. With it and one "
            "of your people everything comes back on a new machine.</p>",
            state_mark(Mark::signed_off, "The spare key is written down."));
    }
    return html("<p>{}</p><p>When you have a pen at hand, in a terminal: <code>ladderline paper</code></p>",
                state_mark(Mark::open, "The spare key is not written down yet."));
}

Html running_part(const Scene& scene, const CopyState& work) {
    Html out;
    if (work.is_being_proven) {
        out = html("<p>All of it is copied; now the copy is read again, to see that it is whole.</p>");
    } else if (work.total > 0) {
        out = progress("Copying", static_cast<std::int64_t>(work.done), static_cast<std::int64_t>(work.total));
    } else {
        out = html("<p>It begins.</p>");
    }
    out += button_form(scene.request, url("/store/copy/stop"), "Stop the copy");
    return out;
}

// Made by the node beside its other work, into the store's own folder: a page names no places on the disk.
Html work_part(const Scene& scene) {
    if (scene.house.copy == nullptr) return Html();
    const CopyState work = scene.house.copy->state();
    if (work.is_running) return running_part(scene, work);
    Html out;
    if (!work.said.empty()) {
        out = notice(work.went_well ? Tone::done : Tone::caution, work.went_well ? "Done" : "No copy", work.said);
    }
    out += button_form(scene.request, url("/store/copy"), "Make a copy now");
    out.add(
        "<p>It goes into the folder <code>copies</code> beside the store; the newest {} are kept. That helps against a "
        "slip and against damage to the store. Against a broken or stolen machine helps only a copy that lies "
        "elsewhere.</p>",
        copies_kept);
    return out;
}

Html copy_part(const Scene& scene, const StoreState& state) {
    const auto days = state.copy_days(scene.context().today());
    Html out;
    if (!days) {
        out = html("<p>{}</p>", state_mark(Mark::open, "No copy was made yet."));
    } else {
        const std::string words = "The last copy: " + time_words(scene.viewer, *state.copied);
        out = html("<p>{}</p><p>It went to <code>{}</code>.</p>",
                   state_mark(*days > copy_old_days ? Mark::caution : Mark::signed_off, words), state.copied_to);
        if (*days > copy_old_days) {
            out.add("<p>That is {} days ago; make another.</p>", *days);
        } else {
            out.add("<p>That was {}.</p>", days_ago_words(Day{0}, Day{*days}));
        }
    }
    out += work_part(scene);
    out.add(
        "<p>In a terminal, to a stick or a disk that you then put away: <code>ladderline backup FOLDER</code>. The "
        "copy "
        "is sealed; the passphrase of this store opens it.</p>");
    return out;
}

// Looked through by the running program, which does not look at keys and indexes.
Html events_part(const Scene& scene, const StoreState& state, const std::string& when) {
    Html out = html("<p>{}</p><p>{}</p>", state_mark(Mark::signed_off, "Every event is whole, as of " + when + "."),
                    state.found);
    if (state.all_checked) {
        out.add("<p>The whole store was good on {}.</p>", time_words(scene.viewer, *state.all_checked));
    }
    out +=
        html("<p>In a terminal, <code>ladderline check</code> looks at all the rest, too: keys, tables, indexes.</p>");
    return out;
}

Html check_part(const Scene& scene, const StoreState& state) {
    if (!state.checked) {
        return html(
            "<p>{}</p><p>Its events are looked through bit by bit while the program runs; <code>ladderline "
            "check</code> looks at all of it at once.</p>",
            state_mark(Mark::waiting, "Not looked through yet."));
    }
    const std::string when = time_words(scene.viewer, *state.checked);
    if (state.is_whole && state.all_looked) {
        return html("<p>{}</p><p>{}</p>", state_mark(Mark::signed_off, "Whole, as of " + when + "."), state.found);
    }
    if (state.is_whole) return events_part(scene, state, when);
    return html(
        "<p>{}</p><p>{}</p><p>In a terminal: stop the program and run <code>ladderline mend</code>; it keeps what is "
        "good, and your people send the rest.</p>",
        state_mark(Mark::caution, "Damaged, as of " + when + "."), state.found);
}

Result<Response> store_page(const Scene& scene) {
    TRY(const StoreState state, store_state(scene.context()));
    Page content;
    content.title = "Is it safe?";
    if (scene.house.copy != nullptr) content.live_topics = {copy_topic};
    content.main = older_part(scene, state);
    content.main += html(
        "<section><h2>The spare key on paper</h2>{}</section><section><h2>A copy</h2>{}</section>"
        "<section><h2>The store itself</h2>{}</section>",
        paper_part(state), copy_part(scene, state), check_part(scene, state));
    content.side = html(
        "<h2>Where it is</h2><p><code>{}</code></p><p>Encrypted. {}</p><p>{}</p><p>The passphrase is changed, and the "
        "store locked anew, in a terminal: <code>ladderline passphrase</code>, <code>ladderline new-key</code>.</p>",
        state.home.string(),
        state.opened_by_key_file ? "A key file opens it at boot, so whoever has this machine has the store."
                                 : "It opens with your passphrase, and with the spare key on paper.",
        state.people == 0
            ? std::string("Nobody else holds a part of it yet: the copy is all there is.")
            : "What you share with " + std::to_string(state.people) + (state.people == 1 ? " person" : " people") +
                  " lies on their machines, too, and comes back from there. Your desk does not.");
    return show(scene, std::move(content), Live::no);
}

Result<Response> read_sent(const Scene& scene) {
    TRY(older_read(scene.context()));
    return redirect(url("/store"));
}

Result<Response> copy_sent(const Scene& scene) {
    const Result<void> begun = scene.house.copy->begin();
    if (!begun) return store_page(scene.back(refusal_of(begun.error())));
    return redirect(url("/store"));
}

Result<Response> stop_sent(const Scene& scene) {
    scene.house.copy->stop();
    return redirect(url("/store"));
}

}  // namespace

void add_store_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/store", store_page);
    on_post(router, house, "/store/read", read_sent);
    if (house->copy == nullptr) return;
    on_post(router, house, "/store/copy", copy_sent);
    on_post(router, house, "/store/copy/stop", stop_sent);
}

}  // namespace ladderline::node::web
