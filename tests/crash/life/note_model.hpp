#pragma once
// Notes as they were taken in, in a table of their own.

#include "protocol/event/kinds.hpp"
#include "store/read_model/read_model.hpp"

namespace ladderline::test {

class NoteModel : public store::ReadModel {
public:
    // Another version has the table made anew from the events.
    explicit NoteModel(std::int64_t version) : version_(version) {}

    std::string name() const override { return "note"; }
    std::int64_t version() const override { return version_; }
    std::vector<std::string> tables() const override { return {"note"}; }
    Result<void> reset(store::sqlite::Database& db) override {
        return db.execute(
            "DROP TABLE IF EXISTS note; CREATE TABLE note (id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, "
            "seq INTEGER NOT NULL, text TEXT NOT NULL) STRICT, WITHOUT ROWID");
    }
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override {
        if (event.body.kind != protocol::kind::note) return ok();
        return db.run("INSERT INTO note (id, log_ref, seq, text) VALUES (?1, ?2, ?3, ?4)", event.id, event.log_ref,
                      event.seq, as_text(event.body.payload));
    }

private:
    std::int64_t version_;
};

}  // namespace ladderline::test
