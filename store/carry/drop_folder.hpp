#pragma once
// A folder that several nodes write into and read: on a stick that is carried round, or kept in step by a sync engine.
//
//   <name>.carry   one part of a bundle; `name` is the hash of its bytes. Never changed, and taken out again only by
//   the
//                  node that wrote it
//   <name>.heads   what one device held of one circle when it looked last; replaced by that device alone
//   <name>.here    one line of text, by which a device knows the folder again
//
// Everything else in the folder is passed over. Names that end otherwise are files on their way.

#include <deque>
#include <map>
#include <set>

#include "store/carry/bundle_in.hpp"
#include "store/carry/carried_files.hpp"

namespace ladderline::store {

inline constexpr std::string_view carry_ending = ".carry";
inline constexpr std::string_view heads_ending = ".heads";

// The name of a part's file.
std::string carry_file_name(ByteView part);

struct DropFolder {
    std::string folder;              // as RealCarriedFiles::real_path gives it
    std::optional<WallTime> looked;  // last time that all went well
    std::string note;                // why it went wrong last; empty after a success
};
// refused: it is there already; not_found: no such folder. The two folders must not hold one another: see is_inside.
Result<void> add_drop_folder(const CarryStore& store, CarriedFiles& files, const std::filesystem::path& folder);
// The files in it stay. not_found: it was not added.
Result<void> remove_drop_folder(const CarryStore& store, const std::filesystem::path& folder);
Result<std::vector<DropFolder>> drop_folders(sqlite::Database& db);

// What one look did.
struct DropLook {
    std::size_t files_read = 0;
    std::uint64_t events_read = 0;
    std::size_t files_written = 0;
    std::uint64_t events_written = 0;
    std::size_t unreadable = 0;            // changed, cut short, or not arrived whole yet
    std::size_t other = 0;                 // sealed with keys that are not here
    std::vector<std::string> missing;      // what waiting files wait for, one sentence each
    bool more = false;                     // limits::drop_bytes_max was reached: the rest is for the next look
    std::set<protocol::CircleId> changed;  // circles that events arrived in
    std::set<protocol::CircleId> settled;  // of these: the last part read told of just what is held here
};

// One look: reads what is new, then writes what the folder lacks. Call step() until it says false; each step takes in a
// piece of one file, so that others get their turn in between. A file that a look was ended in is read again by the
// next.
class DropFolderLook {
public:
    // `now`: what the clock says. All but `now` outlive the look.
    DropFolderLook(const CarryStore& store, CarriedFiles& files, std::string folder, WallTime now, Random& random);

    // not_found: the folder is not there, or is another one in its place.
    Result<bool> step();
    const DropLook& done() const { return done_; }

private:
    struct Reading {
        std::string name;
        TakingIn part;
        std::optional<TakenIn> taken = std::nullopt;  // once it is over
        std::size_t remembered = 0;                   // of its runs
    };

    Result<void> begin();
    Result<void> begin_file(const std::string& name);
    Result<void> go_on_reading();
    Result<void> note_unread(const std::string& name, const Error& why);
    Result<void> note_taken(const std::string& name, const TakenIn& part);
    Result<void> note_seen(const std::string& name, const std::string& waits, const std::string& lacks);
    Result<void> remember_runs(Reading& reading);
    Result<void> read_waiting_again();
    Result<void> write_news();
    Result<void> write_circle(const protocol::CircleId& circle);
    Result<void> write_heads(const protocol::CircleId& circle);
    std::filesystem::path path_of(const std::string& name) const { return std::filesystem::path(folder_) / name; }

    CarryStore store_;
    CarriedFiles& files_;
    std::string folder_;
    WallTime now_;
    Random& random_;
    CarryReader reader_;
    DropLook done_;
    bool begun_ = false;
    std::deque<std::string> fresh_;
    std::optional<Reading> reading_;
    std::map<std::string, std::string> waiting_;  // names, and what each lacks
    std::uint64_t events_at_last_pass_ = 0;
    std::size_t bytes_read_ = 0;
};

// Notes how a look went.
Result<void> note_look(sqlite::Database& db, const std::string& folder, std::optional<WallTime> ok_at,
                       std::string_view note);

// How far each other device was when it looked last, as far as this node can tell.
struct DropReader {
    protocol::CircleId circle;
    protocol::DeviceId device;
    std::uint64_t lacks = 0;  // events that are held here
};
Result<std::vector<DropReader>> drop_readers(const CarryStore& store, CarriedFiles& files, const std::string& folder);

}  // namespace ladderline::store
