#include "protocol/circle/bodies.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

struct CertificateHashTag;
using CertificateHash = FixedBytes<CertificateHashTag, 32>;

CertificateHash signed_part(DeviceCertificate certificate) {
    certificate.by_member = {};
    certificate.by_device = {};
    const Bytes encoded = codec::encode(certificate);
    return hash_as<CertificateHash>("ladderline device 1", {encoded});
}

}  // namespace

DeviceCertificate certify(const SignKeys& identity, const SignKeys& device, const DhPublic& noise, const DhPublic& box,
                          std::string label) {
    DeviceCertificate out{MemberId{identity.pub.data}, DeviceId{device.pub.data}, noise, box, std::move(label), {}, {}};
    const CertificateHash hash = signed_part(out);
    out.by_member = sign(hash.view(), identity.secret);
    out.by_device = sign(hash.view(), device.secret);
    return out;
}

bool is_genuine(const DeviceCertificate& certificate) {
    const CertificateHash hash = signed_part(certificate);
    return verify(hash.view(), certificate.by_member, signing_key(certificate.member)) &&
           verify(hash.view(), certificate.by_device, signing_key(certificate.device));
}

}  // namespace ladderline::protocol
