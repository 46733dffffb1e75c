#include "tests/bench/invented_words.hpp"

namespace wainscot::bench {
namespace {

std::vector<InventedWords> developing_words() {
  return {
      {"plain",    "time",      "left",     "right",  "x",    "y",     "heading",  "turn_rate", "r",
       "start",    "step",      "end",      "angle",  "beam", "range", "strength", "battery",   "temp",
       "pwm_left", "pwm_right", "checksum", "bumper", "row",  "type",  "wheels",   "lidar",     "gyro"},
      {"German",     "Zeit",    "links",         "rechts",     "pos_x",       "pos_y",        "Richtung",
       "Drehrate",   "Abstand", "Anfangswinkel", "Schritt",    "Endwinkel",   "Winkel",       "Nummer",
       "Entfernung", "Staerke", "Spannung",      "Temperatur", "Motor_links", "Motor_rechts", "Pruefsumme",
       "Stoss",      "Zeile",   "Art",           "RAD",        "SCAN",        "KREISEL"},
      {"French",   "temps_ms",    "roue_gauche",   "roue_droite",  "px",    "py",     "cap",      "vitesse_rot",
       "d",        "debut",       "pas",           "fin",          "angle", "indice", "distance", "force",
       "batterie", "temperature", "moteur_gauche", "moteur_droit", "somme", "choc",   "ligne",    "genre",
       "roues",    "tour",        "gyro"},
      {"terse", "t", "l", "r", "x",  "y",  "h", "w", "d", "a0", "da", "a1", "a", "i",
       "m",     "q", "v", "c", "pl", "pr", "k", "b", "n", "z",  "W",  "S",  "G"},
      {"nonsense", "foo", "bar",   "baz",  "blip", "blop", "blup", "zap",   "pling",
       "uno",      "duo", "tre",   "wob",  "knot", "ping", "fizz", "juice", "heat",
       "vim",      "vam", "crumb", "ouch", "line", "what", "kik",  "kok",   "kuk"},
  };
}

std::vector<InventedWords> scoring_words() {
  return {
      {"Spanish",         "tiempo",        "rueda_izquierda",
       "rueda_derecha",   "este",          "norte",
       "rumbo",           "giro",          "alcance",
       "inicio",          "paso",          "final",
       "angulo",          "rayo",          "lejos",
       "brillo",          "bateria",       "calor",
       "motor_izquierda", "motor_derecha", "suma",
       "golpe",           "fila",          "clase",
       "ruedas",          "barrido",       "giroscopo"},
      {"Italian",   "ora",       "ruota_sx", "ruota_dx", "avanti", "lato",   "direzione", "rotazione",  "dist",
       "inizio",    "passo",     "fine",     "angolo",   "raggio", "misura", "luce",      "pila",       "gradi",
       "motore_sx", "motore_dx", "somma",    "urto",     "riga",   "tipo",   "RUOTE",     "GIRO_LASER", "GIROSCOPIO"},
      {"long English",
       "millisecondsSinceBoot",
       "leftWheelEncoderCount",
       "rightWheelEncoderCount",
       "estimatedForward",
       "estimatedSideways",
       "estimatedFacing",
       "rotationSpeedMeasured",
       "distanceMeasurement",
       "beginningOfSweep",
       "betweenMeasurements",
       "endOfSweep",
       "directionOfMeasurement",
       "measurementNumber",
       "distanceToObstacle",
       "reflectedLight",
       "supplyVoltage",
       "boardTemperature",
       "leftMotorDuty",
       "rightMotorDuty",
       "lineChecksum",
       "frontBumperPressed",
       "lineCounter",
       "whatIsThis",
       "WheelReport",
       "SweepReport",
       "RotationReport"},
      {"Swedish", "tid",     "hjul_v",   "hjul_h", "lage_x",  "lage_y", "kurs",   "vridning",  "avst",
       "borjan",  "mellan",  "slut",     "vinkel", "straale", "laengd", "styrka", "spaenning", "varme",
       "motor_v", "motor_h", "kontroll", "krock",  "rad",     "slag",   "hjul",   "svep",      "vrid"},
      {"letters", "aa", "ab", "ac", "ad", "ae", "af", "ag", "ah", "ai", "aj", "ak", "al", "am",
       "an",      "ao", "ap", "aq", "ar", "as", "at", "au", "av", "aw", "xx", "yy", "zz"},
  };
}

}  // namespace

std::vector<InventedWords> invented_words(bool scoring) {
  std::vector<InventedWords> words = developing_words();
  if (!scoring) return words;
  // Twice, so that two of three draws are names that no rule was written by.
  for (int i = 0; i < 2; ++i) {
    for (const InventedWords& spirit : scoring_words()) words.push_back(spirit);
  }
  return words;
}

}  // namespace wainscot::bench
