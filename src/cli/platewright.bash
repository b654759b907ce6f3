# Completion of platewright for bash.
_platewright() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options=
  if [ "$COMP_CWORD" -eq 1 ]; then
    mapfile -t COMPREPLY < <(compgen -W "intake mark check measure plates align report labels export card lens help --version" -- "$word")
    return
  fi
  case $before in
  --kind) mapfile -t COMPREPLY < <(compgen -W "receipt condition proposal treatment summary" -- "$word"); return ;;
  --language) mapfile -t COMPREPLY < <(compgen -W "en de" -f -- "$word"); return ;;
  --for) mapfile -t COMPREPLY < <(compgen -W "studio owner public" -- "$word"); return ;;
  --style) mapfile -t COMPREPLY < <(compgen -W "plate plate-grey" -f -- "$word"); return ;;
  --size) mapfile -t COMPREPLY < <(compgen -W "id1 a6 strip sheet" -- "$word"); return ;;
  --paper) mapfile -t COMPREPLY < <(compgen -W "a4 letter" -- "$word"); return ;;
  --to)
    if [ "${COMP_WORDS[1]}" = export ]; then mapfile -t COMPREPLY < <(compgen -W "csv bag" -- "$word")
    else mapfile -t COMPREPLY < <(compgen -d -- "$word"); fi
    return
    ;;
  -o) mapfile -t COMPREPLY < <(compgen -f -- "$word"); return ;;
  -o|--html) mapfile -t COMPREPLY < <(compgen -f -- "$word"); return ;;
  esac
  case ${COMP_WORDS[1]} in
  intake) options="--relink" ;;
  mark) options="--port --lan" ;;
  check) options="--full --json" ;;
  measure) options="--budget --csv --json" ;;
  plates) options="-o --style --language --for --contact --difference" ;;
  align) options="--ties --json" ;;
  labels) options="-o --start --only --language --style" ;;
  export) options="--to -o --for --language" ;;
  report) options="--kind --for --only -o --html --issue --on --language --style" ;;
  card) options="--size --paper -o" ;;
  lens) options="--to" ;;
  esac
  case $word in
  -*) mapfile -t COMPREPLY < <(compgen -W "$options --help" -- "$word") ;;
  *) mapfile -t COMPREPLY < <(compgen -f -- "$word") ;;
  esac
}
complete -o filenames -F _platewright platewright
