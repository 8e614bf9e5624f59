#include "store/digest/state_digest.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"
#include "store/circles/circle_model.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

// Bytes are taken in pieces of any size; what is kept in memory is bounded.
class Hasher {
public:
    template <class T>
    void add(const T& value) {
        const Bytes bytes = codec::encode(value);
        waiting_.insert(waiting_.end(), bytes.begin(), bytes.end());
        if (waiting_.size() >= fold_bytes) fold();
    }
    StateDigest finish() {
        fold();
        return digest_;
    }

private:
    static constexpr std::size_t fold_bytes = 64 * 1024;

    void fold() {
        digest_ = hash_as<StateDigest>("ladderline state digest 1", {digest_.view(), waiting_});
        waiting_.clear();
    }

    StateDigest digest_;
    Bytes waiting_;
};

void add_cuts(Hasher& to, const protocol::Cuts& cuts) {
    to.add(cuts.size());
    for (const auto& [log, cut] : cuts) to.add(cut);
}

// Whose words reach how far, and the keys.
void add_goings(Hasher& to, const CircleState& state) {
    to.add(state.cuts.size());
    for (const auto& [member, cuts] : state.cuts) {
        to.add(member);
        add_cuts(to, cuts);
    }
    to.add(state.revoked.size());
    for (const auto& [device, lost] : state.revoked) {
        to.add(device);
        to.add(lost.member);
        add_cuts(to, lost.cuts);
    }
    to.add(state.extensions.size());
    for (const auto& [member, cuts] : state.extensions) {
        to.add(member);
        add_cuts(to, cuts);
    }
    to.add(state.after_return.size());
    for (const auto& [member, events] : state.after_return) {
        to.add(member);
        to.add(events.ids());
    }
    to.add(state.paper_boxes.size());
    for (const auto& [member, box] : state.paper_boxes) {
        to.add(member);
        to.add(box);
    }
    to.add(state.consent.has_value());
    if (state.consent) {
        to.add(state.consent->by);
        to.add(state.consent->said);
    }
    to.add(state.epochs.size());
    for (const Epoch& epoch : state.epochs) {
        to.add(epoch.event);
        to.add(epoch.key);
        to.add(epoch.scope);
        to.add(std::vector<MemberId>(epoch.readers.begin(), epoch.readers.end()));
        to.add(epoch.is_stale);
    }
    to.add(state.founding_key_is_stale);
}

void add_state(Hasher& to, const CircleState& state) {
    to.add(state.kind);
    to.add(state.name);
    to.add(state.founder);
    to.add(state.members.size());
    for (const auto& [id, member] : state.members) {
        to.add(id);
        to.add(member.role);
        to.add(member.level);
        to.add(member.name);
        to.add(member.is_minor);
        to.add(member.removed);
        to.add(member.left);
    }
    to.add(state.devices.size());
    for (const auto& [id, device] : state.devices) to.add(device);
    add_goings(to, state);
    to.add(state.heads);
    to.add(std::vector<EventId>(state.without_effect.begin(), state.without_effect.end()));
    to.add(state.pending);
}

struct Column {
    std::string name;
    bool is_number = false;
};

Result<std::vector<Column>> columns_of(sqlite::Database& db, const std::string& table) {
    std::vector<Column> out;
    TRY(db.query(
        "SELECT name, type FROM pragma_table_info(?1) ORDER BY cid",
        [&](const sqlite::Row& row) {
            out.push_back({row.text(0), row.text(1) == "INTEGER"});
        },
        table));
    ENSURE(!out.empty());  // a model that names a table it does not make
    return out;
}

// The circle's rows in an order that follows from their values; none of an event beyond a fork, of which every node may
// hold another branch. A row with `seq_first` sums up a log: none of a log that forks anywhere.
std::string rows_sql(const std::string& table, std::vector<Column>& columns) {
    const auto has = [&](std::string_view name) {
        return std::any_of(columns.begin(), columns.end(), [&](const Column& c) { return c.name == name; });
    };
    const bool by_log = has("log_ref");
    const std::string log = by_log ? "log.log" : has("log") ? "this.log" : "";
    std::string shown;
    std::string order;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        const bool is_log = columns[i].name == "log_ref";
        if (is_log) columns[i].is_number = false;
        shown += (shown.empty() ? "" : ", ") + (is_log ? "log.log" : "this." + columns[i].name);
        order += (order.empty() ? "" : ", ") + std::to_string(i + 1);
    }
    const std::string counts =
        log.empty() || !has("seq")
            ? ""
            : " AND NOT EXISTS (SELECT 1 FROM fork_proof AS f WHERE f.circle = ?1 AND f.log = " + log +
                  (has("seq_first") ? ")" : " AND f.seq <= this.seq)");
    return "SELECT " + shown + " FROM " + table + " AS this " +
           (by_log ? "JOIN log ON log.log_ref = this.log_ref WHERE log.circle = ?1" : "WHERE this.circle = ?1") +
           counts + " ORDER BY " + order;
}

Result<void> add_table(Hasher& to, sqlite::Database& db, const std::string& table, const CircleId& circle) {
    to.add(table);
    TRY(auto columns, columns_of(db, table));
    const std::string sql = rows_sql(table, columns);
    for (const Column& column : columns) to.add(column.name);
    TRY(db.query(
        sql,
        [&](const sqlite::Row& row) {
            to.add(true);
            for (std::size_t i = 0; i < columns.size(); ++i) {
                const int at = static_cast<int>(i);
                to.add(row.is_null(at));
                if (columns[i].is_number) {
                    to.add(row.integer(at));
                } else {
                    to.add(row.blob(at));
                }
            }
        },
        circle));
    to.add(false);
    return ok();
}

}  // namespace

Result<StateDigest> state_digest(sqlite::Database& db, EventLog& log, const CircleId& circle) {
    Hasher hasher;
    hasher.add(circle);
    TRY(const auto heads, log.heads(circle));
    hasher.add(heads);
    TRY(const CircleState state, CircleModel::state_of(db, circle));
    add_state(hasher, state);
    for (const ReadModel* model : log.models()) {
        hasher.add(model->name());
        for (const std::string& table : model->tables()) {
            TRY(add_table(hasher, db, table, circle));
        }
    }
    return hasher.finish();
}

}  // namespace ladderline::store
