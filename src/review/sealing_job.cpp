#include "review/sealing_job.h"

namespace plumbmark::review {

using base::Result;

void SealingJob::begin(const meet::SigningKey& key, const std::filesystem::path& folder,
                       store::SecretText passphrase, meet::PublicationId publication) {
    stop();
    step_ = SealingStep::opening_key;
    publication_ = publication;
    fresh_key_ = false;
    opening_.ask(++question_,
                 [key, folder, secret = std::make_shared<store::SecretText>(std::move(passphrase))](
                     const auto&) -> Opened {
                     Result<store::SecretKey> opened = open_key_of(key, folder, secret->text());
                     secret->clear();
                     if (!opened) return opened.error();
                     return std::make_shared<KeyMade>(KeyMade{key, std::move(*opened)});
                 });
}

void SealingJob::begin_with_new_key(const NewKey& wish, store::SecretText passphrase,
                                    meet::PublicationId publication) {
    stop();
    step_ = SealingStep::making_key;
    publication_ = publication;
    fresh_key_ = true;
    opening_.ask(
        ++question_,
        [wish, secret = std::make_shared<store::SecretText>(std::move(passphrase))](const auto&) -> Opened {
            NewKey with = wish;
            with.passphrase = secret->text();
            secret->clear();
            Result<KeyMade> made = make_key(std::nullopt, "", with);
            store::wipe(with.passphrase);
            if (!made) return made.error();
            return std::make_shared<KeyMade>(std::move(*made));
        });
}

void SealingJob::stop() {
    if (step_ == SealingStep::writing) return;
    ++question_;  // what is still being worked out is of an older one
    key_.reset();
    step_ = SealingStep::nothing;
}

std::optional<Result<SealMade>> SealingJob::end(Result<SealMade> outcome) {
    key_.reset();
    ended_at_ = std::exchange(step_, SealingStep::nothing);
    return outcome;
}

Result<void> SealingJob::take_key(Session& session, const std::shared_ptr<KeyMade>& made) {
    key_ = made;
    step_ = SealingStep::saving;
    if (!fresh_key_) return {};
    const meet::Change change = key_change(session.state(), made->key);
    if (Result<void> added = session.apply(change); !added) return added;
    new_key_ = std::get<meet::SigningKey>(*change.edits.front().after);
    return {};
}

std::optional<Result<SealMade>> SealingJob::poll(Session& session) {
    if (auto opened = opening_.take(); opened && opened->first == question_) {
        if (!opened->second) return end(opened->second.error());
        if (Result<void> taken = take_key(session, *opened->second); !taken) return end(taken.error());
    }
    if (step_ == SealingStep::saving && session.all_solid()) {
        step_ = SealingStep::signing;
        signing_.ask(++question_, [file = session.path(), key = key_, publication = publication_](
                                      const auto&) { return make_seal(file, key->secret, publication); });
    }
    if (auto made = signing_.take(); made && made->first == question_) {
        key_.reset();
        if (!made->second || !made->second->fresh) return end(std::move(made->second));
        sealed_ = std::move(*made->second);
        const meet::Change change = seal_change(session.state(), sealed_->seal);
        sealed_->seal = std::get<meet::Seal>(*change.edits.front().after);
        if (Result<void> added = session.apply(change); !added) return end(added.error());
        step_ = SealingStep::writing;
    }
    if (step_ == SealingStep::writing && session.solid({meet::Kind::seal, sealed_->seal.id.value}))
        return end(std::move(*sealed_));
    return std::nullopt;
}

}  // namespace plumbmark::review
