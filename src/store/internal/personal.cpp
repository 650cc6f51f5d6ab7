#include "store/internal/personal.h"

#include <algorithm>
#include <map>

#include "base/check.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

// Free text that a person types and whatever may hold a file's name counts as personal: the journal is never
// rewritten, so what might name a child must not stand in it.
template <class Text, class Thing>
std::vector<Text*> fields_of(Thing& entity) {
    using Fields = std::vector<Text*>;
    if (auto* athlete = std::get_if<meet::Athlete>(&entity))
        return Fields{&athlete->name, &athlete->club, &athlete->born, &athlete->category};
    if (auto* book = std::get_if<meet::BookRevision>(&entity)) return Fields{&book->file_name, &book->path};
    if (auto* clip = std::get_if<meet::Clip>(&entity))
        return Fields{&clip->name, &clip->relative_path, &clip->last_known_path};
    if (auto* run = std::get_if<meet::Run>(&entity)) return Fields{&run->label, &run->question};
    if (auto* mark = std::get_if<meet::Mark>(&entity)) return Fields{&mark->note};
    if (auto* call = std::get_if<meet::FloorCall>(&entity)) return Fields{&call->judge};
    if (auto* entry = std::get_if<meet::Entry>(&entity)) return Fields{&entry->reason};
    if (auto* time = std::get_if<meet::ClockTime>(&entity)) return Fields{&time->judge};
    if (auto* appeal = std::get_if<meet::Appeal>(&entity))
        return Fields{&appeal->point, &appeal->lodged_by, &appeal->reason};
    if (auto* decision = std::get_if<meet::Decision>(&entity)) {
        Fields fields{&decision->reason};
        for (auto& signature : decision->signatures)
            fields.push_back(&signature.name);
        return fields;
    }
    if (auto* key = std::get_if<meet::SigningKey>(&entity)) return Fields{&key->holder};
    if (auto* cover = std::get_if<meet::Cover>(&entity)) return Fields{&cover->shows};
    if (auto* publication = std::get_if<meet::Publication>(&entity)) return Fields{&publication->note};
    return {};
}

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
        const std::vector<std::string*> fields = personal_fields(before);
        if (!stored) return before;
        const meet::Entity& known = *stored;
        const std::vector<const std::string*> hashes = personal_fields(known);
        for (std::size_t i = 0; i < std::min(fields.size(), hashes.size()); ++i)
            *fields[i] = *hashes[i];
        return before;
    }

    meet::Entity seal_after(const meet::Edit& edit, const std::optional<meet::Entity>& sealed_before) {
        meet::Entity after = *edit.after;
        const std::vector<std::string*> fields = personal_fields(after);
        const bool comes = !edit.before || meet::key_of(*edit.before) != meet::key_of(after);
        // A decision may have other signatures than before.
        const auto before = comes ? std::vector<const std::string*>{} : personal_fields(*edit.before);
        const auto hashes = comes ? std::vector<const std::string*>{} : personal_fields(*sealed_before);
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

std::vector<std::string*> personal_fields(meet::Entity& entity) {
    return fields_of<std::string>(entity);
}

std::vector<const std::string*> personal_fields(const meet::Entity& entity) {
    return fields_of<const std::string>(entity);
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

meet::Entity unsealed(meet::Entity entity, const ApartValues& values) {
    for (std::string* field : personal_fields(entity)) {
        if (field->empty()) continue;
        const auto found = values.find(*field);
        *field = found == values.end() ? std::string() : found->second;
    }
    return entity;
}

meet::Change unsealed(meet::Change change, const ApartValues& values) {
    for (meet::Edit& edit : change.edits) {
        if (edit.before) edit.before = unsealed(std::move(*edit.before), values);
        if (edit.after) edit.after = unsealed(std::move(*edit.after), values);
    }
    return change;
}

}  // namespace plumbmark::store
