#include "store/identity/identity.hpp"

#include "store/settings/settings.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

constexpr std::size_t seed_bytes = 32;
constexpr std::string_view names[] = {"member_seed", "device_seed", "noise_secret", "box_secret"};
constexpr std::string_view paper_name = "paper_seed";

Result<SecretBytes> stored_secret(sqlite::Database& db, std::string_view name) {
    TRY(auto value, get_setting(db, name));
    if (!value) return Error{Fault::not_found, "This store has no owner yet; begin with 'ladderline begin'."};
    if (value->size() != seed_bytes) return Error{Fault::damaged, "This store's keys are damaged; restore a backup."};
    SecretBytes secret = SecretBytes::copy_of(*value);
    wipe(*value);
    return secret;
}

Identity from_secrets(const SecretBytes& member, const SecretBytes& device, const SecretBytes& noise,
                      const SecretBytes& box) {
    return {sign_keys_from_seed(member.view()),
            sign_keys_from_seed(device.view()),
            dh_keys_from_secret(DhSecret::copy_of(noise.view())),
            dh_keys_from_secret(DhSecret::copy_of(box.view())),
            {}};
}

}  // namespace

Result<Identity> create_identity(sqlite::Database& db, std::string device_label, Random& random) {
    return create_identity(db, std::move(device_label), PaperSeed::random(random), random);
}

Result<Identity> create_identity(sqlite::Database& db, std::string device_label, const PaperSeed& paper,
                                 Random& random) {
    TRY(store_paper_seed(db, paper));
    for (const std::string_view name : names) {
        const SecretBytes secret =
            name == names[0] ? paper_member_seed(paper) : SecretBytes::random(seed_bytes, random);
        TRY(put_setting(db, name, secret.view()));
    }
    TRY(put_text_setting(db, "device_label", device_label));
    return load_identity(db);
}

Result<Identity> load_identity(sqlite::Database& db) {
    TRY(const SecretBytes member, stored_secret(db, names[0]));
    TRY(const SecretBytes device, stored_secret(db, names[1]));
    TRY(const SecretBytes noise, stored_secret(db, names[2]));
    TRY(const SecretBytes box, stored_secret(db, names[3]));
    TRY(const auto label, get_text_setting(db, "device_label"));
    Identity out = from_secrets(member, device, noise, box);
    out.certificate = certify(out.member, out.device, out.noise.pub, out.box.pub, label.value_or("node"));
    return out;
}

Result<std::optional<PaperSeed>> stored_paper_seed(sqlite::Database& db) {
    TRY(auto value, get_setting(db, paper_name));
    if (!value) return std::optional<PaperSeed>();
    if (value->size() != PaperSeed::size)
        return Error{Fault::damaged, "This store's paper key is damaged; restore a backup."};
    std::optional<PaperSeed> seed = PaperSeed::copy_of(*value);
    wipe(*value);
    return seed;
}

Result<void> store_paper_seed(sqlite::Database& db, const PaperSeed& paper) {
    return put_setting(db, paper_name, paper.view());
}

bool gives_identity(const PaperSeed& paper, const Identity& identity) {
    return sign_keys_from_seed(paper_member_seed(paper).view()).pub == identity.member.pub;
}

}  // namespace ladderline::store
