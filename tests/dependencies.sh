# Sourced: keeps what cargo built of other people's crates, for the next clean checkout on this machine.
#
# Compiling the dependencies is the longest part of a run from nothing, and for one lock file, compiler and profile it
# always gives the same. Only registry crates are kept, never a crate of the workspace. One set is kept (2.0 GB
# when it was measured), in ${XDG_CACHE_HOME:-~/.cache}/handrail; without it everything is compiled.

dependencies_cache() { # the folder of this set
    local base=${XDG_CACHE_HOME:-$HOME/.cache}/handrail
    local set
    # The profile stands in Cargo.toml; its comments change nothing.
    set=$({ rustc -vV; cat Cargo.lock; grep -v '^#' Cargo.toml; env | grep -E '^(RUSTFLAGS|CARGO_(PROFILE|BUILD|ENCODED))' || true; } | sha256sum | cut -c1-16)
    echo "$base/dependencies-$set"
}

# Names in target/release that belong to crates of the workspace: libraries, tests, examples, benches.
of_the_workspace() {
    cargo metadata --no-deps --format-version 1 --offline |
        python3 -c 'import json, sys
for package in json.load(sys.stdin)["packages"]:
    for target in package["targets"]:
        for name in (package["name"], target["name"], target["name"].replace("-", "_"), "lib" + target["name"].replace("-", "_")):
            print(name)' | sort -u
}

take_dependencies() {
    local cache
    cache=$(dependencies_cache)
    if [ -d target/release/.fingerprint ] || [ ! -d "$cache" ]; then
        echo "none taken"
        return
    fi
    mkdir -p target
    # A copy cut short must not look like a whole one.
    cp -a "$cache" target/release.part && rm -rf target/release && mv target/release.part target/release
    echo "taken from $cache"
}

keep_dependencies() {
    local cache part
    cache=$(dependencies_cache)
    if [ -d "$cache" ]; then
        echo "kept already"
        return
    fi
    part=$cache.part
    rm -rf "$part"
    mkdir -p "$part"
    of_the_workspace >"$part.names"
    (
        cd target/release
        for folder in deps build .fingerprint; do
            mkdir -p "$part/$folder"
            # NAME-HASH or NAME-HASH.ext: everything whose NAME is not one of ours.
            ls -A "$folder" | awk -v names="$part.names" '
                BEGIN { while ((getline line <names) > 0) ours[line] = 1 }
                { name = $0; sub(/\..*$/, "", name); sub(/-[0-9a-f]+$/, "", name); if (!(name in ours)) print }' |
                (cd "$folder" && xargs -r -d '\n' cp -a -t "$part/$folder")
        done
    )
    rm -f "$part.names"
    find "$(dirname "$cache")" -maxdepth 1 -name 'dependencies-*' ! -path "$part" -exec rm -rf {} +
    mv "$part" "$cache"
    du -sh "$cache" | cut -f1
}
