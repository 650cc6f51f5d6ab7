#include "store/internal/personal.h"

#include <algorithm>
#include <map>

#include "base/check.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

std::string new_salt(const RandomSource& random) {
    std::string salt(kSaltBytes, '\0');
    random(reinterpret_cast<unsigned char*>(salt.data()), salt.size());
    return salt;
}

class Sealer {
  public:
    Sealer(const meet::State& stored, const RandomSource& random) : stored_(stored), random_(random) {}

    meet::Edit seal(const meet::Edit& edit) {
        meet::Edit sealed;
        if (edit.before) sealed.before = seal_before(*edit.before);
        if (edit.after) sealed.after = seal_after(edit, sealed.before);
        PLUMBMARK_CHECK(edit.before || edit.after);
        now_[edit.key()] = sealed.after;
        return sealed;
    }

    std::vector<ApartValue> fresh;

  private:
    // What the thing was before, with the hashes that its stored form has; the other fields are the caller's,
    // so that applying the sealed change still notices a 'before' that is not what is stored.
    meet::Entity seal_before(meet::Entity before) {
        const meet::EntityKey key = meet::key_of(before);
        const auto changed = now_.find(key);
        const std::optional<meet::Entity> stored =
            changed != now_.end() ? changed->second : stored_.find(key);
        const std::vector<std::string*> fields = meet::personal_members(before);
        if (!stored) return before;
        const meet::Entity& known = *stored;
        const std::vector<const std::string*> hashes = meet::personal_members(known);
        for (std::size_t i = 0; i < std::min(fields.size(), hashes.size()); ++i)
            *fields[i] = *hashes[i];
        return before;
    }

    meet::Entity seal_after(const meet::Edit& edit, const std::optional<meet::Entity>& sealed_before) {
        meet::Entity after = *edit.after;
        const std::vector<std::string*> fields = meet::personal_members(after);
        const bool comes = !edit.before || meet::key_of(*edit.before) != meet::key_of(after);
        // A decision may have other signatures than before.
        const auto before = comes ? std::vector<const std::string*>{} : meet::personal_members(*edit.before);
        const auto hashes =
            comes ? std::vector<const std::string*>{} : meet::personal_members(*sealed_before);
        for (std::size_t i = 0; i < fields.size(); ++i) {
            const bool same = i < before.size() && *before[i] == *fields[i];
            *fields[i] = same ? *hashes[i] : seal_value(*fields[i]);
        }
        return after;
    }

    std::string seal_value(const std::string& value) {
        if (value.empty()) return {};
        const std::string salt = new_salt(random_);
        fresh.push_back({apart_hash(salt, value), salt, value});
        return fresh.back().hash;
    }

    const meet::State& stored_;
    const RandomSource& random_;
    std::map<meet::EntityKey, std::optional<meet::Entity>> now_;
};

}  // namespace

std::string apart_hash(const std::string& salt, const std::string& value) {
    return sha256_hex(salt + value);
}

SealedChange seal(const meet::Change& change, const meet::State& stored, const RandomSource& random) {
    SealedChange sealed;
    sealed.change.label = change.label;
    sealed.change.undoes = change.undoes;
    Sealer sealer(stored, random);
    for (const meet::Edit& edit : change.edits)
        sealed.change.edits.push_back(sealer.seal(edit));
    sealed.fresh = std::move(sealer.fresh);
    return sealed;
}

void unseal(meet::Entity& entity, const ApartValues& values) {
    meet::for_each_personal(entity, [&](std::string& field) {
        if (field.empty()) return;
        const auto found = values.find(field);
        field = found == values.end() ? std::string() : found->second;
    });
}

meet::Entity unsealed(meet::Entity entity, const ApartValues& values) {
    unseal(entity, values);
    return entity;
}

meet::Change unsealed(meet::Change change, const ApartValues& values) {
    for (meet::Edit& edit : change.edits) {
        if (edit.before) unseal(*edit.before, values);
        if (edit.after) unseal(*edit.after, values);
    }
    return change;
}

}  // namespace plumbmark::store
