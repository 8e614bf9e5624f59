#include "node/commands/carry.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "node/commands/circles.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/key_rotation.hpp"
#include "protocol/circle/epochs.hpp"
#include "protocol/sync/armour.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using std::filesystem::path;
using store::CarriedFiles;

store::CarryStore store_of(Context& context) {
    return {context.db, context.log, context.me};
}

std::string count_of(std::uint64_t count, const std::string& one) {
    return std::to_string(count) + " " + one + (count == 1 ? "" : "s");
}

// A circle to write a bundle for, and the person if it is one person's.
struct Target {
    CircleView circle;
    std::optional<PersonView> person;
};

std::optional<CircleKind> named_circle(const std::string& who) {
    if (who == "path") return CircleKind::path;
    if (who == "club") return CircleKind::club;
    if (who == "desk") return CircleKind::desk;
    return std::nullopt;
}

Result<std::vector<Target>> targets(Context& context, const std::string& who) {
    if (const auto kind = named_circle(who)) {
        TRY(const CircleView circle, own_circle(context, *kind));
        return std::vector<Target>{{circle, std::nullopt}};
    }
    std::vector<Target> out;
    std::optional<Error> unclear;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind == CircleKind::desk) continue;
        auto person = find_person(context, circle.id, who);
        if (!person && person.error().fault() == Fault::bad_input) unclear = person.error();
        if (!person) continue;
        if (!out.empty() && out.front().person->id != person.value().id) {
            return Error{Fault::bad_input, "'" + who + "' could be " + out.front().person->name + " or " +
                                               person.value().name + "; give more of the name."};
        }
        out.push_back({circle, std::move(person).value()});
    }
    if (out.empty() && unclear) return *unclear;
    if (out.empty()) return Error{Fault::not_found, "Nobody called '" + who + "' shares a circle with you."};
    if (out.front().person->id == context.me.id()) {
        return Error{Fault::bad_input, "That is you; for another device of your own say 'desk', or 'path' or 'club'."};
    }
    return out;
}

// Box keys of the person's devices that may be given the key that is written under now.
Result<std::vector<DhPublic>> box_keys(Context& context, const CircleId& circle, const MemberId& member) {
    TRY(const CircleState state, context.state_of(circle));
    TRY(const AeadKey key, context.log.current_key(circle));
    std::vector<DhPublic> out;
    for (const auto& [id, device] : state.devices) {
        if (device.member != member || !state.present_member(id)) continue;
        if (may_read(state, id, id_of_key(key), context.today())) out.push_back(device.box);
    }
    return out;
}

// Where the parts of one circle's bundle go.
class Place {
public:
    Place(CarriedFiles& files, path to, bool is_folder, bool text)
        : files_(files), to_(std::move(to)), is_folder_(is_folder), text_(text) {}

    Result<void> put(const Bytes& part) {
        const std::string armour = text_ ? to_armour(part) : "";
        if (is_folder_) {
            path name = store::carry_file_name(part);
            if (text_) name.replace_extension(".txt");
            TRY(files_.write(to_ / name, text_ ? as_bytes(armour) : ByteView(part)));
            names_.push_back(to_ / name);
            return ok();
        }
        if (!text_ && has_one_) {
            return Error{Fault::bad_input, "This takes more than one file; name a folder, or ask for --text."};
        }
        if (letter_.size() + armour.size() > limits::bundle_text_bytes_max) {
            return Error{Fault::bad_input, "This is too much for one text; name a folder."};
        }
        if (text_) letter_ += armour;
        TRY(files_.write(to_, text_ ? as_bytes(letter_) : ByteView(part)));
        has_one_ = true;
        if (names_.empty()) names_.push_back(to_);
        return ok();
    }
    // What was put so far stays, whatever happens later.
    void keep() {
        kept_ = names_.size();
        kept_letter_ = letter_;
    }
    // The sentence of the error, with what is left of the files.
    Error undo(const Error& error) {
        for (std::size_t i = kept_; i < names_.size(); ++i) static_cast<void>(files_.remove(names_[i]).has_value());
        if (kept_ == 0) return error;
        if (text_ && !is_folder_) static_cast<void>(files_.write(to_, as_bytes(kept_letter_)).has_value());
        std::string sentence = error.sentence();
        while (sentence.ends_with('.')) sentence.pop_back();
        return {error.fault(), sentence + "; what was written before is whole and can be carried."};
    }
    std::vector<std::string> names() const {
        std::vector<std::string> out;
        for (const path& name : names_) out.push_back(name.string());
        return out;
    }

private:
    CarriedFiles& files_;
    path to_;
    bool is_folder_;
    bool text_;
    bool has_one_ = false;
    std::string letter_;
    std::string kept_letter_;
    std::vector<path> names_;
    std::size_t kept_ = 0;
};

Result<Place> place_of(Context& context, CarriedFiles& files, const BundleRequest& request) {
    TRY(const path to, files.real_path(request.to));
    TRY(const path home, files.real_path(context.home));
    if (store::is_inside(to, home)) {
        return Error{Fault::refused,
                     "That is inside the store's own folder; nothing was written. Choose another place."};
    }
    TRY(const bool is_folder, files.is_folder(to));
    TRY(const bool exists, files.exists(to));
    if (!is_folder && exists) {
        return Error{Fault::refused, to.string() + " is there already; nothing was written. Choose another name."};
    }
    return Place(files, to, is_folder, request.text);
}

// The orders for one circle: one, or one a device if the key goes along.
Result<std::vector<store::BundleOrder>> orders_for(Context& context, const Target& target,
                                                   const BundleRequest& request) {
    store::BundleOrder order{target.circle.id, {}, std::nullopt, request.everything, std::nullopt};
    if (target.person) {
        order.for_whom.data = target.person->id.data;
        order.reader = target.person->id;
    }
    if (!request.with_key) return std::vector{order};
    order.everything = true;
    std::vector<store::BundleOrder> out;
    TRY(const auto boxes, box_keys(context, target.circle.id, target.person->id));
    for (const DhPublic& box : boxes) {
        order.device = box;
        out.push_back(order);
    }
    if (out.empty()) {
        return Error{Fault::refused, target.person->name + " may not read what is said in " + target.circle.name +
                                         " now, so the key to it was not written."};
    }
    return out;
}

std::string name_of_circle(Context& context, const CircleId& id) {
    const auto all = circles(context.db);
    if (!all) return "a circle";
    for (const CircleView& circle : all.value()) {
        if (circle.id == id) return circle.name;
    }
    return "a circle";
}

std::string owner_of_device(Context& context, const DeviceId& device) {
    std::string name;
    const Result<void> read = context.db.query(
        "SELECT member.name FROM device JOIN member USING (circle, member) WHERE device.device = ?1 LIMIT 1",
        [&](const store::sqlite::Row& row) { name = row.text(0); }, device);
    return read && !name.empty() ? name : "somebody";
}

// The bundles of one file: itself, or those in its text.
Result<std::vector<Result<Bytes>>> parts_in(CarriedFiles& files, const path& file) {
    TRY(Bytes bytes, files.read(file, limits::bundle_text_bytes_max));
    std::vector<Result<Bytes>> out;
    if (as_text(bytes).starts_with("LADDERB") || !holds_armour(as_text(bytes))) {
        out.emplace_back(std::move(bytes));
        return out;
    }
    return from_armour(as_text(bytes));
}

// Files as named, and of a folder what may hold bundles.
Result<std::vector<path>> all_files(CarriedFiles& files, const std::vector<path>& paths) {
    std::vector<path> out;
    for (const path& named : paths) {
        TRY(const bool is_folder, files.is_folder(named));
        if (!is_folder) {
            out.push_back(named);
            continue;
        }
        TRY(const auto sealed, files.list(named, store::carry_ending, limits::drop_files_max));
        for (const std::string& name : sealed) out.push_back(named / name);
        TRY(const auto letters, files.list(named, ".txt", limits::drop_files_max));
        for (const std::string& name : letters) {
            const auto text = files.read(named / name, limits::bundle_text_bytes_max);
            if (text && holds_armour(as_text(text.value()))) out.push_back(named / name);
        }
    }
    if (out.empty()) return Error{Fault::not_found, "There is no bundle in that folder; nothing was taken in."};
    return out;
}

// As after a sync in which both sides ended with the same.
Result<void> settle(Context& context, const CircleId& circle) {
    const Result<void> done = settle_circle(context, circle);
    if (!done && done.error().fault() != Fault::not_found) return done.error();
    return ok();
}

class Reading {
public:
    Reading(Context& context, CarriedFiles& files) : context_(context), files_(files) {}

    // Only an error of the store itself ends the reading.
    Result<void> read(const path& file) {
        const auto parts = parts_in(files_, file);
        if (!parts) {
            refuse(file, parts.error());
            return ok();
        }
        for (const Result<Bytes>& part : parts.value()) {
            if (!part) refuse(file, part.error());
            if (!part) continue;
            TRY(take(file, part.value()));
        }
        return ok();
    }
    // Files that wait for one another are read again as long as that brings anything.
    Result<void> read_waiting_again() {
        for (std::uint64_t before = 0; !waiting_.empty() && out_.events > before;) {
            before = out_.events;
            const auto again = std::exchange(waiting_, {});
            out_.missing.clear();
            again_ = true;
            for (const path& file : again) {
                TRY(read(file));
            }
        }
        return ok();
    }
    Result<ReadBundles> finish() && {
        for (const auto& [circle, events] : events_) {
            TRY(tell_arrival(context_, circle));
            out_.news.push_back(name_of_circle(context_, circle) + ": " + count_of(events, "event") + " from " +
                                owner_of_device(context_, writers_[circle]));
        }
        for (const CircleId& circle : settled_) {
            TRY(settle(context_, circle));
        }
        if (out_.parts == 0 && first_error_) return *first_error_;
        return std::move(out_);
    }

private:
    void refuse(const path& file, const Error& error) {
        if (again_) return;  // said the first time
        if (!first_error_) first_error_ = error;
        out_.refused.push_back(file.filename().string() + ": " + error.sentence());
    }

    Result<void> take(const path& file, const Bytes& bytes) {
        const auto taken = store::take_in(store_of(context_), bytes);
        if (!taken) {
            const Fault fault = taken.error().fault();
            if (fault == Fault::disk || fault == Fault::busy) return taken.error();
            refuse(file, taken.error());
            return ok();
        }
        const store::TakenIn& part = taken.value();
        if (part.spoiled) refuse(file, *part.spoiled);
        if (!again_) ++out_.parts;
        out_.events += part.events;
        out_.in_step = part.in_step;
        if (part.events > 0) {
            events_[part.head.circle] += part.events;
            writers_[part.head.circle] = part.head.writer;
        }
        if (part.events == 0 && (part.new_key || part.new_forks > 0)) events_[part.head.circle] += 0;
        if (!part.in_step)
            settled_.erase(part.head.circle);
        else if (events_.contains(part.head.circle))
            settled_.insert(part.head.circle);
        if (part.runs_forked > 0 && !again_) {
            out_.refused.push_back(file.filename().string() +
                                   ": one device wrote two different things in one place; what is here was kept.");
        }
        if (part.logs_left > 0 && !again_) {
            out_.refused.push_back(file.filename().string() +
                                   ": this circle has room for no more new logs, so some were left; what is here "
                                   "goes on.");
        }
        if (part.runs_waiting > 0) {
            waiting_.insert(file);
            out_.missing.push_back(store::what_is_missing(part));
        }
        return ok();
    }

    Context& context_;
    CarriedFiles& files_;
    ReadBundles out_;
    std::set<path> waiting_;
    std::map<CircleId, std::uint64_t> events_;
    std::map<CircleId, DeviceId> writers_;
    std::set<CircleId> settled_;
    std::optional<Error> first_error_;
    bool again_ = false;
};

std::string look_words(const store::DropLook& look) {
    std::string out = count_of(look.events_read, "event") + " taken in from " + count_of(look.files_read, "file") +
                      ", " + count_of(look.events_written, "event") + " written into " +
                      count_of(look.files_written, "file");
    if (look.unreadable > 0) out += "; " + count_of(look.unreadable, "file") + " not whole";
    if (look.other > 0) out += "; " + count_of(look.other, "file") + " for others";
    if (look.more) out += "; the rest at the next look";
    out += ".";
    for (const std::string& sentence : look.missing) out += " " + sentence;
    return out;
}

}  // namespace

Result<WrittenBundle> write_bundle(Context& context, CarriedFiles& files, const BundleRequest& request) {
    if (request.with_key && named_circle(request.who)) {
        return Error{Fault::bad_input, "The key goes to one person; name them with --for."};
    }
    TRY(const auto all, targets(context, request.who));
    TRY(Place place, place_of(context, files, request));
    WrittenBundle out;
    std::size_t logs_left = 0;
    out.reader = all.front().person ? all.front().person->name : "everybody in " + all.front().circle.name;
    for (const Target& target : all) {
        TRY(const auto orders, orders_for(context, target, request));
        for (const store::BundleOrder& order : orders) {
            const auto put_in = store::write_bundle(store_of(context), order, context.now(), context.env.random,
                                                    [&](const Bytes& part) { return place.put(part); });
            if (!put_in) return place.undo(put_in.error());
            place.keep();
            out.events += put_in.value().events;
            logs_left += put_in.value().logs_left;
            out.repeats = out.repeats || put_in.value().repeats;
        }
    }
    out.files = place.names();
    out.left = store::in_words_left(logs_left);
    return out;
}

Result<ReadBundles> read_bundles(Context& context, CarriedFiles& files, const std::vector<path>& paths) {
    TRY(const auto all, all_files(files, paths));
    Reading reading(context, files);
    for (const path& file : all) {
        TRY(reading.read(file));
    }
    TRY(reading.read_waiting_again());
    return std::move(reading).finish();
}

Result<Done> add_drop_folder(Context& context, CarriedFiles& files, const path& folder) {
    TRY(const path real, files.real_path(folder));
    TRY(const path home, files.real_path(context.home));
    if (store::is_inside(real, home) || store::is_inside(home, real)) {
        return Error{Fault::refused,
                     "The drop folder and the store's own folder must not lie one in the other; nothing was changed. "
                     "Choose another folder."};
    }
    TRY(store::add_drop_folder(store_of(context), files, real));
    return Done{real.string() + " is a drop folder now; a running node looks into it every few minutes.", {}};
}

Result<Done> remove_drop_folder(Context& context, CarriedFiles& files, const path& folder) {
    TRY(const path real, files.real_path(folder));
    TRY(store::remove_drop_folder(store_of(context), real));
    return Done{real.string() + " is no drop folder any more; the files in it were left there.", {}};
}

Result<std::vector<DropFolderLine>> drop_folder_lines(Context& context, CarriedFiles& files) {
    TRY(const auto all, store::drop_folders(context.db));
    std::vector<DropFolderLine> out;
    for (const store::DropFolder& folder : all) {
        DropFolderLine line{
            folder.folder, folder.looked ? "looked into " + to_iso_minute(*folder.looked) : "not yet", {}};
        if (!folder.note.empty()) line.state += "; " + folder.note;
        const auto readers = store::drop_readers(store_of(context), files, folder.folder);
        if (readers) {
            for (const store::DropReader& reader : readers.value()) {
                line.readers.push_back(
                    owner_of_device(context, reader.device) + ", " + name_of_circle(context, reader.circle) + ": " +
                    (reader.lacks == 0 ? "had everything"
                                       : "lacked " + count_of(reader.lacks, "event") + " of what is here"));
            }
        }
        out.push_back(std::move(line));
    }
    return out;
}

DropLookRun::DropLookRun(Context& context, CarriedFiles& files, const std::string& folder)
    : context_(context), folder_(folder), look_(store_of(context), files, folder, context.now(), context.env.random) {}

bool DropLookRun::step() {
    const auto more = look_.step();
    if (more && more.value()) return true;
    return end(more ? "" : more.error().sentence());
}

bool DropLookRun::end(const std::string& trouble) {
    sentence_ = folder_ + ": " + (trouble.empty() ? look_words(look_.done()) : trouble);
    for (const CircleId& circle : look_.done().changed) {
        const Result<void> told = tell_arrival(context_, circle);
        if (!told) sentence_ += " " + told.error().sentence();
    }
    for (const CircleId& circle : look_.done().settled) {
        const Result<void> settled = settle(context_, circle);
        if (!settled) sentence_ += " " + settled.error().sentence();
    }
    const auto ok_at = trouble.empty() ? std::optional(context_.now()) : std::nullopt;
    std::string note = trouble;
    if (trouble.empty() && !look_.done().missing.empty()) note = look_.done().missing.front();
    const auto noted = store::note_look(context_.db, folder_, ok_at, note);
    if (!noted) sentence_ += " " + noted.error().sentence();
    return false;
}

Result<std::vector<std::string>> look_into_drop_folders(Context& context, CarriedFiles& files) {
    TRY(const auto all, store::drop_folders(context.db));
    std::vector<std::string> out;
    for (const store::DropFolder& folder : all) {
        DropLookRun run(context, files, folder.folder);
        while (run.step()) {
        }
        out.push_back(run.sentence());
    }
    return out;
}

}  // namespace ladderline::node
