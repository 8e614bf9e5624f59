#include "store/carry/drop_folder.hpp"

#include <doctest/doctest.h>

#include "store/settings/settings.hpp"
#include "tests/support/store/carrier.hpp"
#include "tests/support/store/memory_carried_files.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;
using store::DropLook;

namespace {

Result<DropLook> try_look(Carrier& who, MemoryCarriedFiles& files) {
    store::DropFolderLook look(who.store(), files, files.folder.string(), who.node.now, who.node.random);
    for (;;) {
        TRY(const bool more, look.step());
        if (!more) return look.done();
    }
}

DropLook look(Carrier& who, MemoryCarriedFiles& files) {
    auto done = try_look(who, files);
    if (!done) FAIL(done.error().sentence());
    return std::move(done).value();
}

// Ada and Max, and a stick that both added.
struct Stick : SharedPath {
    Stick() {
        REQUIRE(store::add_drop_folder(ada.store(), files, files.folder).has_value());
        REQUIRE(store::add_drop_folder(max.store(), files, files.folder).has_value());
    }
    std::size_t count(std::string_view ending) const {
        std::size_t out = 0;
        for (const auto& [path, bytes] : files.files) out += path.string().ends_with(ending) ? 1 : 0;
        return out;
    }

    MemoryCarriedFiles files;
};

}  // namespace

TEST_CASE("news goes through a drop folder both ways, until both are in step") {
    Stick f;
    look(f.ada, f.files);
    const DropLook read = look(f.max, f.files);
    CHECK(read.events_read == 2);
    CHECK(read.changed.contains(f.circle));
    f.max.note(f.circle, "well done");
    look(f.max, f.files);
    CHECK(look(f.ada, f.files).events_read == 1);
    CHECK(f.ada.root(f.circle) == f.max.root(f.circle));
}

TEST_CASE("a look without news reads no bundle and writes nothing") {
    Stick f;
    look(f.ada, f.files);
    look(f.max, f.files);
    look(f.ada, f.files);
    const auto before = f.files.files;
    f.files.reads = 0;
    f.files.writes = 0;
    look(f.ada, f.files);
    look(f.max, f.files);
    CHECK(f.files.reads == 0);
    CHECK(f.files.writes == 0);
    CHECK(f.files.files == before);
}

TEST_CASE("what a reader took from the folder is not put there again") {
    Stick f;
    look(f.ada, f.files);
    CHECK(look(f.max, f.files).files_written == 0);
    CHECK(f.count(".carry") == 1);
}

TEST_CASE("files on their way, foreign files and changed files are passed over, and read once they are whole") {
    Stick f;
    look(f.ada, f.files);
    std::filesystem::path bundle;
    for (const auto& [path, bytes] : f.files.files) {
        if (path.string().ends_with(".carry")) bundle = path;
    }
    const Bytes whole = f.files.files[bundle];
    f.files.files[bundle].resize(whole.size() / 2);
    f.files.files["/stick/minutes.pdf"] = Bytes(100, 1);
    f.files.files["/stick/0123456789abcdef0123456789abcdef.carry.new"] = Bytes(100, 2);
    f.files.files["/stick/0123456789abcdef0123456789abcdef.carry"] = Bytes(100, 3);
    f.files.files["/stick/large.carry"] = Bytes(limits::bundle_bytes_max + 1);
    const DropLook first = look(f.max, f.files);
    CHECK(first.events_read == 0);
    CHECK(first.unreadable == 3);
    f.files.files[bundle] = whole;
    CHECK(look(f.max, f.files).events_read == 2);
}

TEST_CASE("bundles in a folder that wait for one another are all read in one look") {
    Stick f;
    for (int i = 0; i < 6; ++i) {
        f.ada.note(f.circle, "news");
        look(f.ada, f.files);
    }
    const DropLook read = look(f.max, f.files);
    CHECK(read.missing.empty());
    CHECK(f.max.root(f.circle) == f.ada.root(f.circle));
}

TEST_CASE("a bundle whose forerunner is missing says so, and is read when that has come") {
    Stick f;
    look(f.ada, f.files);
    const auto first = f.files.files;
    f.ada.note(f.circle, "news");
    look(f.ada, f.files);
    std::filesystem::path gone;
    for (const auto& [path, bytes] : first) {
        if (path.string().ends_with(".carry")) gone = path;
    }
    f.files.files.erase(gone);
    CHECK(look(f.max, f.files).missing.size() == 1);
    f.files.reads = 0;
    CHECK(look(f.max, f.files).missing.size() == 1);
    CHECK(f.files.reads == 0);  // nothing changed that it waits for
    f.files.files[gone] = first.at(gone);
    CHECK(look(f.max, f.files).events_read == 3);
    CHECK(f.max.root(f.circle) == f.ada.root(f.circle));
}

TEST_CASE("a large file is taken in piece by piece, and one that a look was ended in is read by the next") {
    Stick f;
    for (int i = 0; i < 40; ++i) f.ada.note(f.circle, std::string(60'000, 'x'));  // several runs
    look(f.ada, f.files);
    const auto begin = [&] {
        return store::DropFolderLook(f.max.store(), f.files, f.files.folder.string(), f.max.node.now,
                                     f.max.node.random);
    };
    std::int64_t stored = 0;
    {
        store::DropFolderLook ended = begin();
        while (stored == 0) {
            REQUIRE(ended.step().value());
            stored = f.max.events();
        }
    }
    CHECK(stored < 42);
    CHECK(f.max.node.count("SELECT count(*) FROM drop_seen") == 0);
    CHECK(look(f.max, f.files).events_read == static_cast<std::uint64_t>(42 - stored));
    CHECK(f.max.root(f.circle) == f.ada.root(f.circle));
}

TEST_CASE("a disk that is full at any step of writing loses no news") {
    Stick counting;
    look(counting.ada, counting.files);
    const int writes = counting.files.writes;
    REQUIRE(writes > 2);
    for (int at = 3; at <= writes; ++at) {  // the first two mark the folder as known
        CAPTURE(at);
        Stick f;
        f.files.full_from = at;
        CHECK(try_look(f.ada, f.files).error().fault() == Fault::disk);
        f.files.full_from = 0;
        look(f.ada, f.files);
        look(f.max, f.files);
        CHECK(f.max.root(f.circle) == f.ada.root(f.circle));
    }
}

TEST_CASE("another stick in the same place is told from the one that was added") {
    Stick f;
    f.files.files.clear();
    CHECK(try_look(f.ada, f.files).error().fault() == Fault::not_found);
    CHECK(f.files.files.empty());
}

TEST_CASE("a node's many small bundles give way to one, and nobody else's are touched") {
    Stick f;
    look(f.ada, f.files);
    look(f.max, f.files);
    f.max.note(f.circle, "from Max");
    look(f.max, f.files);
    for (int i = 0; i < 64; ++i) {
        f.ada.note(f.circle, "news");
        look(f.ada, f.files);
    }
    CHECK(f.count(".carry") <= 3);
    SharedPath late;
    REQUIRE(store::add_drop_folder(late.max.store(), f.files, f.files.folder).has_value());
    look(late.max, f.files);
    CHECK(late.max.root(f.circle) == f.ada.root(f.circle));
}

TEST_CASE("many bundles of its own stay as they are while there is no news") {
    Stick f;
    look(f.ada, f.files);
    for (int i = 0; i < 63; ++i) {
        f.ada.note(f.circle, "news");
        look(f.ada, f.files);
    }
    REQUIRE(f.count(".carry") == 64);
    const auto before = f.files.files;
    CHECK(look(f.ada, f.files).files_written == 0);
    CHECK(f.files.files == before);
}

TEST_CASE("after a whole bundle in many parts, as many again come before the next") {
    Stick f;
    look(f.ada, f.files);
    const auto news = [&] {
        f.ada.note(f.circle, "news");
        look(f.ada, f.files);
    };
    for (int i = 0; i < 64; ++i) news();
    REQUIRE(f.count(".carry") == 1);
    REQUIRE(f.ada.store().db.run("UPDATE setting SET value = CAST('40' AS BLOB) WHERE name LIKE 'drop whole %'"));
    for (int i = 0; i < 79; ++i) news();
    CHECK(f.count(".carry") == 80);
    news();
    CHECK(f.count(".carry") == 1);
}

TEST_CASE("a removed drop folder leaves no setting behind") {
    Stick f;
    look(f.ada, f.files);
    for (int i = 0; i < 64; ++i) {
        f.ada.note(f.circle, "news");
        look(f.ada, f.files);
    }
    const auto kept = [&] { return store::setting_names(f.ada.store().db, "drop whole ").value().size(); };
    CHECK(kept() == 1);
    REQUIRE(store::remove_drop_folder(f.ada.store(), f.files.folder).has_value());
    CHECK(kept() == 0);
}

TEST_CASE("the head files tell how far the others were") {
    Stick f;
    look(f.ada, f.files);
    look(f.max, f.files);
    f.ada.note(f.circle, "news");
    const auto readers = store::drop_readers(f.ada.store(), f.files, f.files.folder.string()).value();
    REQUIRE(readers.size() == 1);
    CHECK(readers[0].device == f.max.person.device_id());
    CHECK(readers[0].lacks == 1);
}

TEST_CASE("a head file under somebody else's name tells nothing") {
    Stick f;
    look(f.max, f.files);
    std::map<std::filesystem::path, Bytes> renamed;
    for (const auto& [path, bytes] : f.files.files) {
        if (path.string().ends_with(".heads"))
            renamed["/stick/00.heads"] = bytes;
        else
            renamed[path] = bytes;
    }
    f.files.files = renamed;
    CHECK(store::drop_readers(f.ada.store(), f.files, f.files.folder.string()).value().empty());
}

TEST_CASE("a folder is added once, removed once, and its files stay") {
    Stick f;
    look(f.ada, f.files);
    CHECK(store::add_drop_folder(f.ada.store(), f.files, f.files.folder).error().fault() == Fault::refused);
    CHECK(store::add_drop_folder(f.ada.store(), f.files, "/none").error().fault() == Fault::not_found);
    const auto before = f.files.files;
    CHECK(store::remove_drop_folder(f.ada.store(), f.files.folder).has_value());
    CHECK(store::remove_drop_folder(f.ada.store(), f.files.folder).error().fault() == Fault::not_found);
    CHECK(store::drop_folders(f.ada.node.db).value().empty());
    CHECK(f.files.files == before);
}
